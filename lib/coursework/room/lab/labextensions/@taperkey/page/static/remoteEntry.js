/* Course pages run by themselves. Written by hand, loaded as it is: no build step.
 *
 * A page runs when it carries the course's mark and is trusted (the launcher
 * signs the pages whose code is the course's own). Any other page waits for
 * "Run this page". If this file fails, pages still open and the button works.
 */
(() => {
  'use strict';
  let shelf = {};
  const connection = import(new URL('connection.js', document.currentScript.src));
  const first = { path: location.pathname, unit: location.hash.slice(1) }; // before Lab rewrites it

  /* Take a library that JupyterLab already holds. */
  const shared = async name => {
    const versions = shelf[name];
    const found = versions[Object.keys(versions)[0]];
    return (await found.get())();
  };

  const mark = panel => panel.content.model?.getMetadata('taperkey')?.page;
  const code = panel => panel.content.widgets.filter(cell => cell.model.type === 'code');

  const box = (parent, name, role, first) => {
    let found = parent.querySelector('.' + name);
    if (!found) {
      found = document.createElement('div');
      found.className = name;
      found.setAttribute('role', role);
      parent.insertBefore(found, first ? parent.firstChild : null);
    }
    return found;
  };

  /* Quiet news goes into the line on top, trouble above the page's own text. */
  const say = (panel, kind, news = '', trouble = '') => {
    const page = panel.content.node.querySelector('.jp-WindowedPanel-inner') || panel.content.node;
    box(panel.toolbar.node, 'taperkey-status', 'status').textContent = news;
    box(page, 'taperkey-notice', 'alert', true).textContent = trouble;
    panel.node.dataset.taperkeyPage = kind;
  };
  /* The address's page, which is opened here, at once. Lab would first write down how its windows
   * stand, and open it a second later: over another page, where the reader has gone on by then.
   */
  const address = config => config.getOption('mode') === 'single-document'
    ? config.getOption('treePath') : '';
  /* One of the buttons in sight is always a Tab stop: Lab may leave that to one out of sight. */
  const keepTabStop = bar => {
    const look = () => {
      const seen = [...bar.querySelectorAll('jp-button')].filter(one => one.checkVisibility());
      const stops = seen.some(one => one.getAttribute('tabindex') === '0');
      if (seen.length && !stops) seen[0].setAttribute('tabindex', '0');
    };
    const changes = ['tabindex', 'class', 'style', 'hidden'];
    new MutationObserver(look)
      .observe(bar, { attributeFilter: changes, childList: true, subtree: true });
    look();
  };
  /* In a class: when it closes stands at the foot of the page, on every page. */
  let closes = 0; // by this device's clock, in milliseconds
  const closed = () => closes && Date.now() >= closes;
  const followNotices = base => {
    const line = document.createElement('div');
    line.className = 'taperkey-closing';
    line.setAttribute('role', 'status');
    line.hidden = true;
    document.body.append(line);
    const show = () => {
      const time = new Date(closes).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit' });
      const left = Math.ceil((closes - Date.now()) / 60000);
      const text = !closes ? '' : closed() ? `The class closed at ${time}. What you typed is kept.`
        : left <= 10 ? `The class closes at ${time}, in ${left} min. Hand in what is done.`
          : `The class closes at ${time}.`;
      if (line.textContent !== text) line.textContent = text;
      line.hidden = !text;
    };
    const look = async () => {
      const reply = await fetch(`${base}notice`, { cache: 'no-store' }).catch(() => null);
      if (reply?.ok && !reply.redirected) {
        const told = await reply.json().catch(() => null);
        if (told) closes = told.closes ? Date.now() + 1000 * (told.closes - told.now) : 0;
      }
      show();
    };
    look();
    setInterval(look, 15000);
  };
  const settingUp = panel => say(panel, 'setting-up', 'Setting up the page…');
  const stopped = (panel, why) => say(panel, 'stopped', '', why);

  /* Units. A lesson's text is cut where a heading's cell has the heading's own name as its id; one
   * unit is shown at a time. "#ID" behind the address leads to one, "#all" shows the whole lesson.
   */
  const slug = words => words.toLowerCase().replace(/’/g, '').replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '');
  const wanted = new Map(); // a page's path to the unit that it is to open at

  const unitsOf = panel => {
    if (!panel.context.path.startsWith('lessons/') || !mark(panel)) return [];
    const cells = panel.content.widgets;
    const found = [];
    cells.forEach((cell, at) => {
      if (cell.model.type !== 'markdown') return;
      const title = cell.model.sharedModel.getSource().split('\n')[0];
      if (!/^## /.test(title) || slug(title.slice(3)) !== cell.model.id) return;
      found.push({ id: cell.model.id, title: title.slice(3), at });
    });
    found.forEach((unit, turn) => { unit.end = found[turn + 1]?.at ?? cells.length; });
    return found;
  };

  const made = (parent, tag, name, first) => {
    let found = parent.querySelector(`:scope > .${name}`);
    if (!found) {
      found = document.createElement(tag);
      found.className = name;
      parent.insertBefore(found, first ? parent.firstChild : null);
    }
    return found;
  };
  const words = text => {
    const span = document.createElement('span');
    span.textContent = text;
    return span.innerHTML;
  };
  const link = (unit, inside, look = '') =>
    `<a class="${look}" href="#${unit}" data-tk-unit="${unit}">${inside}</a>`;

  /* Write a part anew only when it says something else; the focus stays on the link that had it. */
  const write = (part, html) => {
    if (part.tkHtml === html) return;
    const held = part.contains(document.activeElement) && document.activeElement.dataset.tkUnit;
    part.innerHTML = html;
    part.tkHtml = html;
    if (typeof held === 'string') part.querySelector(`a[data-tk-unit="${held}"]`)?.focus();
  };

  /* What the course says of a unit in its own list: minutes and how it stands. */
  const told = (panel, id) => panel.node.querySelector(
    `.tk-lesson-contents .tk-units a[data-tk-unit="${id}"]`);

  /* Say back that a unit was read to its end, as soon as the course listens. */
  const sayRead = panel => {
    const box = panel.node.querySelector('.tk-read-to input');
    if (!box || !panel.tkRead?.size) return;
    const id = [...panel.tkRead].pop();
    panel.tkRead.clear();
    box.value = id;
    box.dispatchEvent(new Event('input', { bubbles: true }));
    box.dispatchEvent(new Event('change', { bubbles: true }));
  };

  /* Around the page: where one is, the contents at the side, the way on below. */
  const dress = panel => {
    const units = unitsOf(panel);
    if (!units.length) return;
    const now = panel.node.dataset.tkUnit || '';
    const turn = units.findIndex(one => one.id === now);
    const inner = panel.content.node.querySelector('.jp-WindowedPanel-inner') || panel.content.node;
    const lesson = panel.content.widgets[0].model.sharedModel.getSource().split('\n')[0].slice(2);
    const minutes = told(panel, now)?.lastElementChild?.textContent.trim().replace('min', 'minutes');

    const kicker = made(inner, 'h1', 'tk-kicker', true);
    kicker.hidden = turn < 0;
    kicker.textContent = turn < 0 ? '' : [lesson, `unit ${turn + 1} of ${units.length}`,
      ...(minutes ? [minutes] : [])].join(' · ');

    const foot = made(inner, 'div', 'tk-foot');
    const next = units[turn + 1];
    const done = told(panel, now)?.closest('li')?.classList.contains('tk-unit-done');
    if (turn < 0) write(foot, '');
    else if (next) {
      const time = told(panel, next.id)?.lastElementChild?.textContent.trim() || '';
      write(foot, link(next.id, `<span><b>Go on: ${words(next.title)}</b>` +
        `<span>unit ${turn + 2} of ${units.length}${time ? ' · ' + time.replace('min', 'minutes') : ''}` +
        '</span></span><span aria-hidden="true" class="tk-sign tk-sign-arrow"></span>',
      done ? 'tk-go' : 'tk-go tk-go-quiet'));
    } else write(foot, link('', 'Back to the head of this lesson', 'tk-back'));

    const side = made(panel.node, 'nav', 'tk-side');
    side.setAttribute('aria-label', 'Contents');
    const list = panel.node.querySelector('.tk-lesson-contents .tk-units ol');
    const rows = list ? list.innerHTML : units.map(one => '<li>' + link(one.id,
      '<span class="tk-sign tk-sign-open"></span>' + `<span>${words(one.title)}</span>`) + '</li>').join('');
    write(side, link('', words(lesson), 'tk-side-head') + `<ol>${rows}</ol>` +
      link('all', 'Whole lesson on one page', 'tk-side-all'));
    side.querySelectorAll('a').forEach(one => {
      if (one.dataset.tkUnit === now) one.setAttribute('aria-current', 'page');
      else one.removeAttribute('aria-current');
    });

    const button = made(panel.toolbar.node, 'button', 'tk-contents-button');
    button.type = 'button';
    button.textContent = turn < 0 ? 'Contents' : `Contents: ${turn + 1} of ${units.length}`;
    button.setAttribute('aria-expanded', String(panel.node.classList.contains('tk-side-open')));
    button.onclick = () => {
      const open = panel.node.classList.toggle('tk-side-open');
      button.setAttribute('aria-expanded', String(open));
      if (open) side.querySelector('a')?.focus();
    };
  };

  /* Show one unit, the head of the lesson (""), or all of it ("all"). */
  const showUnit = (panel, asked, how = '') => {
    const units = unitsOf(panel);
    if (!units.length) return false;
    const unit = units.find(one => one.id === asked);
    const id = unit || asked === 'all' ? asked : '';
    const from = unit ? unit.at : 0;
    const to = unit ? unit.end : id === 'all' ? Infinity : units[0].at;
    panel.content.widgets.forEach((cell, at) => {
      cell.node.classList.toggle('tk-away', at < from || at >= to);
      cell.node.classList.toggle('tk-unit-head', Boolean(unit) && at === from);
    });
    panel.node.dataset.tkUnit = id;
    panel.node.classList.remove('tk-side-open');
    dress(panel);
    panel.content.node.scrollTop = 0;
    panel.node.querySelector('.jp-WindowedPanel-outer')?.scrollTo(0, 0);
    const address = location.pathname + location.search + (id ? `#${id}` : '');
    if (how === 'push') history.pushState(null, '', address);
    else if (how === 'replace') history.replaceState(history.state, '', address);
    if (how === 'push') {
      const head = panel.node.querySelector(unit ? '.tk-kicker' : '.jp-WindowedPanel-viewport');
      head?.setAttribute('tabindex', '-1');
      head?.focus({ preventScroll: true });
    }
    panel.tkFoot?.disconnect();
    if (unit) {
      panel.tkFoot = new IntersectionObserver(seen => {
        if (!seen.some(one => one.isIntersecting)) return;
        panel.tkRead = (panel.tkRead || new Set()).add(id);
        sayRead(panel);
      });
      panel.tkFoot.observe(panel.node.querySelector('.tk-foot'));
    }
    panel.tkShown?.();
    return true;
  };

  /* The course's list comes when the page has run, and changes while one works. */
  const follow = panel => {
    let waiting;
    const cell = panel.content.widgets.find(one => one.model.type === 'code');
    if (!cell) return;
    new MutationObserver(() => {
      clearTimeout(waiting);
      waiting = setTimeout(() => { if (!panel.isDisposed) { dress(panel); sayRead(panel); } }, 50);
    }).observe(cell.node, { childList: true, subtree: true, characterData: true });
  };

  /* What JupyterLab leaves without a name, or names wrongly, for whoever hears the page. */
  const nameParts = panel => {
    const view = panel.node.querySelector('.jp-WindowedPanel-viewport');
    view?.removeAttribute('role');
    view?.removeAttribute('aria-label');
    panel.node.querySelectorAll('.jp-Cell[aria-label]').forEach(one => {
      if (!one.getAttribute('role')) one.removeAttribute('aria-label');
    });
    panel.node.querySelectorAll('.noUi-handle:not([aria-label])').forEach(handle => {
      const row = handle.closest('.tk-slide') || handle.closest('.jupyter-widgets');
      const label = row?.querySelector('label')?.textContent.trim();
      handle.setAttribute('aria-label', label || 'Value');
    });
    document.querySelectorAll('.jp-skiplink-wrapper:not([role])').forEach(one => {
      one.setAttribute('role', 'navigation');
      one.setAttribute('aria-label', 'Skip');
    });
    panel.node.querySelectorAll('aside:not([role])').forEach(one => one.setAttribute('role', 'note'));
    /* A sentence is heard when it changes inside something that stays. */
    panel.node.querySelectorAll('.widget-html-content:has(> [role="status"])').forEach(one => {
      one.setAttribute('aria-live', 'polite');
    });
    nameAnswers(panel);
    nameFrames(panel);
  };

  /* Answers to choose from are one group with the question's name: arrows walk through them. */
  const nameAnswers = panel => {
    panel.node.querySelectorAll('.widget-radio-box:not([role])').forEach(box => {
      box.setAttribute('role', 'radiogroup');
    });
    panel.node.querySelectorAll('.widget-radio-box input:not([name])').forEach(one => {
      const box = one.closest('.widget-radio-box');
      box.dataset.tkGroup ||= `tk-group-${groups += 1}`;
      one.name = box.dataset.tkGroup;
    });
    panel.node.querySelectorAll('.tk-do').forEach(form => {
      const asked = form.querySelector('.tk-asked');
      if (!asked) return;
      asked.id ||= `tk-asked-${groups += 1}`;
      form.querySelectorAll('.widget-radio-box').forEach(box => {
        box.setAttribute('aria-labelledby', asked.id);
      });
      form.querySelectorAll('input[type="text"], textarea').forEach(one => {
        one.setAttribute('aria-describedby', asked.id);
      });
    });
    panel.node.querySelectorAll('.widget-radio-box:not([aria-labelledby], [aria-label])').forEach(box => {
      const label = box.parentElement.querySelector(':scope > label')?.textContent.trim();
      box.setAttribute('aria-label', label || 'Answers');
    });
  };
  let groups = 0;

  /* What slides sideways in a frame of its own can be reached and moved with the keyboard. */
  const nameFrames = panel => {
    panel.node.querySelectorAll(':has(> .tk-picture)').forEach(frame => {
      const slides = frame.scrollWidth > frame.clientWidth + 1;
      if (slides === frame.hasAttribute('tabindex')) return;
      for (const [name, value] of Object.entries(
        { tabindex: '0', role: 'group', 'aria-label': 'Drawing, slides sideways' })) {
        if (slides) frame.setAttribute(name, value);
        else frame.removeAttribute(name);
      }
    });
  };
  const keepNamed = panel => {
    let waiting;
    /* JupyterLab takes every key for the cell it holds; what stands beside the cells keeps the focus. */
    panel.content.node.querySelector('.jp-WindowedPanel-outer')?.addEventListener('keydown', event => {
      if (!event.target.closest('.jp-Cell')) event.stopPropagation();
    });
    nameParts(panel);
    new MutationObserver(() => {
      clearTimeout(waiting);
      waiting = setTimeout(() => { if (!panel.isDisposed) nameParts(panel); }, 60);
    }).observe(panel.content.node, { childList: true, subtree: true });
    new ResizeObserver(() => { if (!panel.isDisposed) nameFrames(panel); }).observe(panel.content.node);
  };

  /* A written answer opens on one click or tap; it closes when the apprentice leaves it. */
  const openOnClick = panel => {
    panel.content.widgets.forEach((cell, at) => {
      if (cell.model.type !== 'markdown' || cell.model.getMetadata('editable') === false) return;
      cell.addClass('taperkey-answer');
      cell.node.addEventListener('click', event => {
        if (!cell.rendered || event.target.closest('a')) return;
        panel.content.activeCellIndex = at;
        cell.rendered = false;
        panel.content.mode = 'edit';
      });
    });
  };

  /* Say how a run ended; the sentence is the one the course's own checks wrote. */
  const verdict = panel => {
    for (const cell of code(panel)) {
      const trouble = cell.model.outputs.toJSON().find(each => each.output_type === 'error');
      if (!trouble) continue;
      const why = (trouble.evalue || 'it was interrupted').replace(/\.$/, '');
      stopped(panel, `This page stopped: ${why}. Press “Run this page”. ` +
        'If it stops again, show this line to your instructor.');
      return;
    }
    say(panel, 'ready');
  };

  /* A change of a part waits in the browser while an earlier one of the same part has no answer yet.
   * Nothing else may overtake it: “Hand in” takes the last letters typed with it.
   */
  const keepOrder = async () => {
    const { WidgetModel } = await shared('@jupyter-widgets/base');
    const { sync, send } = WidgetModel.prototype;
    const waiting = new Set();
    const goOn = but => {
      for (const model of waiting) {
        if (model === but) continue;
        waiting.delete(model);
        if (!model._msg_buffer || !model.comm_live) continue;
        model.rememberLastUpdateFor(
          model.send_sync_message(model._msg_buffer, model._msg_buffer_callbacks));
        model._msg_buffer = null;
        model._msg_buffer_callbacks = null;
      }
    };
    WidgetModel.prototype.sync = function(...args) {
      goOn(this);
      const made = sync.apply(this, args);
      if (this._msg_buffer) waiting.add(this);
      return made;
    };
    WidgetModel.prototype.send = function(...args) {
      goOn();
      return send.apply(this, args);
    };
    window.addEventListener('pagehide', () => goOn());
  };

  const activate = async (app, tracker, docs) => {
    keepOrder().catch(error => console.warn('a press may overtake what is typed', error));
    const { CodeCell } = await shared('@jupyterlab/cells');
    const { Dialog } = await shared('@jupyterlab/apputils');
    const { followConnection } = await connection;
    let pressed = Promise.resolve(); // "Run this page" does its own running
    let pressing = 0;
    app.commands.commandExecuted.connect((_, { id, result }) => {
      if (id !== 'notebook:restart-run-all') return;
      pressing += 1;
      pressed = Promise.resolve(result).catch(() => {}).then(() => { pressing -= 1; });
    });

    /* Of a lesson what is shown is run, and its head; a unit's part when somebody comes to it. */
    const due = panel => {
      const units = unitsOf(panel);
      const now = panel.node.dataset.tkUnit;
      const unit = units.find(one => one.id === now);
      return panel.content.widgets.filter((cell, at) => cell.model.type === 'code' &&
        (!units.length || now === 'all' || at < units[0].at || (unit && at >= unit.at && at < unit.end)));
    };
    const runDue = async panel => {
      const next = () => due(panel).find(cell => !panel.tkRan.has(cell));
      if (panel.tkRunning) return; // it sees by itself what is due now
      const turn = panel.tkRunning = {};
      settingUp(panel);
      try {
        for (let cell = next(); cell; cell = next()) {
          panel.tkRan.add(cell);
          const reply = await CodeCell.execute(cell, panel.sessionContext);
          if (panel.isDisposed || panel.tkRunning !== turn) return; // begun again meanwhile
          if (reply && reply.content.status !== 'ok') break;
        }
      } finally { if (panel.tkRunning === turn) panel.tkRunning = null; }
      ended(panel);
    };
    const ended = panel => {
      panel.node.toggleAttribute('data-tk-whole', code(panel).every(cell => panel.tkRan.has(cell)));
      verdict(panel);
    };

    const run = async panel => {
      if (!code(panel).every(cell => cell.model.trusted)) {
        say(panel, 'waiting', '', 'This page is not as it came. Press “Run this page” to start it.');
        return;
      }
      panel.tkRan = new Set();
      panel.tkRunning = null; // what was under way may never be answered
      await runDue(panel);
    };

    const start = async panel => {
      await panel.context.ready;
      if (!mark(panel)) return;
      keepTabStop(panel.toolbar.node);
      openOnClick(panel);
      keepNamed(panel);
      if (unitsOf(panel).length) {
        const path = panel.context.path;
        const at = wanted.get(path) ?? (first.path.endsWith(path) ? first.unit : '');
        wanted.delete(path);
        first.unit = '';
        showUnit(panel, at, 'replace');
        panel.tkShown = () => {
          if (panel.node.dataset.taperkeyPage === 'ready' && !pressing
            && due(panel).some(cell => !panel.tkRan.has(cell))) runDue(panel).catch(() => {});
        };
        follow(panel);
        const plain = panel.setFragment.bind(panel);
        panel.setFragment = part => {
          const id = decodeURIComponent(part).replace(/^#/, '');
          if (!unitsOf(panel).some(one => one.id === id)) plain(part);
          else if (panel.node.dataset.tkUnit !== id) showUnit(panel, id, 'push');
        };
      }
      /* Where pages are the same for all, none is ever saved, and none asks about it. */
      if (PageConfig.getOption('pagesForAll') === 'true') {
        const clean = model => { if (model.dirty) model.dirty = false; };
        panel.context.model.stateChanged.connect(clean);
        clean(panel.context.model);
      }
      let saving;
      panel.content.model.contentChanged.connect(() => {
        clearTimeout(saving); // what was written is on the disk a second later
        saving = setTimeout(() => {
          if (!panel.isDisposed && panel.context.model.dirty) panel.context.save().catch(() => {});
        }, 1000);
      });
      let down = false;
      const restarts = [];
      panel.sessionContext.statusChanged.connect(async (_, status) => {
        // What the server says of it in a programmer's words, the page says in its own.
        if (status === 'dead') setTimeout(() => Dialog.flush(), 100);
        if (status.includes('restarting')) {
          down = true;
          settingUp(panel);
          // The page starts again by itself: no window about it.
          if (status === 'autorestarting') setTimeout(() => Dialog.flush(), 100);
        } else if (down && status === 'idle') {
          down = false;
          restarts.push(Date.now());
          if (pressing) {
            await pressed;
            panel.tkRan = new Set(code(panel));
            ended(panel);
          } else if (restarts.filter(then => Date.now() - then < 60000).length > 3) {
            stopped(panel, 'This page keeps stopping. Show this line to your instructor.');
          } else {
            run(panel).catch(() => {}); // stopped again under way: the next restart sees to it
          }
        }
      });
      followConnection({
        panel,
        base: PageConfig.getBaseUrl(),
        kernel: () => panel.sessionContext.session?.kernel,
        busy: () => down || pressing,
        closed,
        run: () => run(panel),
        verdict: () => verdict(panel),
        ready: news => say(panel, 'ready', news),
        stopped: (why, news = '') => say(panel, 'stopped', news, why)
      });
      settingUp(panel);
      await panel.sessionContext.ready;
      await run(panel);
    };

    const { PageConfig } = await shared('@jupyterlab/coreutils');
    if (PageConfig.getOption('notices') === 'true') followNotices(PageConfig.getBaseUrl());
    const top = new URL(`${PageConfig.getBaseUrl()}doc/tree/`, location.href).pathname;

    tracker.widgetAdded.connect((_, panel) => {
      start(panel).catch(error => console.warn('page did not run by itself', error));
    });
    /* Going back must not count as one more step forward. */
    const push = history.pushState.bind(history);
    history.pushState = (state, unused, to) => {
      const next = to && new URL(to, location.href);
      if (next && next.href === location.href) return;
      if (next && !next.pathname.endsWith('.ipynb')) return; // Lab names a folder
      if (next && location.hash && !next.hash && next.pathname === location.pathname
        && !tracker.currentWidget?.tkLeaving) return; // Lab names the page that is shown already
      push(state, unused, to);
    };
    /* Links of the course: within a lesson, or to a unit of another. */
    document.addEventListener('click', event => {
      const to = event.target.closest?.('a[data-tk-unit], a[data-tk-page]');
      if (!to || event.button || event.metaKey || event.ctrlKey || event.shiftKey) return;
      const panel = tracker.currentWidget;
      const path = to.dataset.tkPage || panel?.context.path;
      if (!path) return;
      event.preventDefault();
      event.stopPropagation();
      if (panel?.context.path === path) {
        panel.tkLeaving = true;
        showUnit(panel, to.dataset.tkUnit || '', 'push');
        panel.tkLeaving = false;
        return;
      }
      wanted.set(path, to.dataset.tkUnit || '');
      docs.openOrReveal(path);
    }, true);
    /* The window is named after the page's heading. */
    const name = () => {
      const here = tracker.currentWidget?.node;
      const heading = here?.querySelector('.tk-unit-head .jp-MarkdownOutput h2')
        || here?.querySelector('.jp-MarkdownOutput h1');
      const title = heading && heading.firstChild?.textContent.trim();
      if (title && document.title !== title) document.title = title;
    };
    new MutationObserver(name).observe(document.querySelector('title'), { childList: true });

    /* One page at a time: the page left behind is saved and closed. */
    tracker.currentChanged.connect(async (_, panel) => {
      if (!panel) return;
      await panel.context.ready;
      setTimeout(() => {
        name();
        const unit = panel.node.dataset.tkUnit;
        if (unit && !panel.isDisposed && tracker.currentWidget === panel && !location.hash) {
          history.replaceState(history.state, '', `${location.pathname}${location.search}#${unit}`);
        }
      }, 500);
      for (const other of tracker.filter(each => each !== panel)) {
        if (other.context.model.dirty) await other.context.save().catch(() => {});
        if (!other.context.model.dirty) other.close();
      }
    });
    window.addEventListener('popstate', () => {
      const path = location.pathname.startsWith(top)
        ? decodeURIComponent(location.pathname.slice(top.length)) : '';
      if (!path) return;
      const unit = location.hash.slice(1);
      const panel = tracker.currentWidget;
      if (panel?.context.path === path) {
        showUnit(panel, unit);
        return;
      }
      wanted.set(path, unit);
      docs.openOrReveal(path);
    });
    const asked = address(PageConfig);
    if (asked) {
      docs.openOrReveal(asked);
      /* Once Lab stands, keys go to the page, as if it were opened then. */
      app.restored.then(() => {
        const panel = tracker.currentWidget;
        if (panel && document.activeElement === document.body) app.shell.activateById(panel.id);
      });
    }
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB['@taperkey/page'] = {
    init: scope => { shelf = scope; },
    get: async () => {
      const { INotebookTracker } = await shared('@jupyterlab/notebook');
      const { IDocumentManager } = await shared('@jupyterlab/docmanager');
      const { IConnectionLost, JupyterFrontEnd } = await shared('@jupyterlab/application');
      const { PageConfig } = await shared('@jupyterlab/coreutils');
      const opened = {
        id: '@taperkey/page:address',
        autoStart: true,
        provides: JupyterFrontEnd.ITreeResolver,
        activate: () => ({ paths: Promise.resolve({ browser: '', file: '' }) })
      };
      return () => ({
        __esModule: true,
        default: [
          {
            id: '@taperkey/page:run',
            autoStart: true,
            requires: [INotebookTracker, IDocumentManager],
            activate
          },
          {
            // The page itself says that its connection is lost: no window about it.
            id: '@taperkey/page:connection',
            autoStart: true,
            provides: IConnectionLost,
            activate: () => async () => {}
          },
          ...(address(PageConfig) ? [opened] : [])
        ]
      });
    }
  };
})();
