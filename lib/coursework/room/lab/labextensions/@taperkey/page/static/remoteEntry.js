/* Course pages run by themselves. Written by hand, loaded as it is: no build step.
 *
 * A page runs when it carries the course's mark and is trusted (the launcher
 * signs the pages whose code is the course's own). Any other page waits for
 * "Run this page". If this file fails, pages still open and the button works.
 */
(() => {
  'use strict';
  let shelf = {};

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
  const settingUp = panel => say(panel, 'setting-up', 'Setting up the page…');
  const stopped = (panel, why) => say(panel, 'stopped', '', why);

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

  const activate = async (app, tracker, docs) => {
    const { CodeCell } = await shared('@jupyterlab/cells');
    const { Dialog } = await shared('@jupyterlab/apputils');
    let pressed = Promise.resolve(); // "Run this page" does its own running
    let pressing = 0;
    app.commands.commandExecuted.connect((_, { id, result }) => {
      if (id !== 'notebook:restart-run-all') return;
      pressing += 1;
      pressed = Promise.resolve(result).catch(() => {}).then(() => { pressing -= 1; });
    });

    const run = async panel => {
      if (!code(panel).every(cell => cell.model.trusted)) {
        say(panel, 'waiting', '', 'This page is not as it came. Press “Run this page” to start it.');
        return;
      }
      settingUp(panel);
      for (const cell of code(panel)) {
        const reply = await CodeCell.execute(cell, panel.sessionContext);
        if (panel.isDisposed) return;
        if (reply && reply.content.status !== 'ok') break;
      }
      verdict(panel);
    };

    const start = async panel => {
      await panel.context.ready;
      if (!mark(panel)) return;
      openOnClick(panel);
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
            verdict(panel);
          } else if (restarts.filter(then => Date.now() - then < 60000).length > 3) {
            stopped(panel, 'This page keeps stopping. Show this line to your instructor.');
          } else {
            run(panel).catch(() => {}); // stopped again under way: the next restart sees to it
          }
        }
      });
      let offline = false;
      panel.sessionContext.connectionStatusChanged.connect((_, status) => {
        if (panel.isDisposed || down || pressing) return;
        if (status === 'connected') {
          if (offline) verdict(panel);
          offline = false;
        } else if (panel.node.dataset.taperkeyPage === 'ready') {
          offline = true;
          stopped(panel, 'This page has lost its connection. What you typed before is kept; ' +
            'what you type now is not saved. Wait until this line is gone.');
        }
      });
      panel.sessionContext.kernelChanged.connect((_, { oldValue, newValue }) => {
        if (panel.isDisposed || pressing || !oldValue || newValue) return;
        offline = false;
        stopped(panel, 'This page has stopped. What you typed before is kept. ' +
          'Press “Run this page”.');
      });
      settingUp(panel);
      await panel.sessionContext.ready;
      await run(panel);
    };

    const { PageConfig } = await shared('@jupyterlab/coreutils');
    const top = new URL(`${PageConfig.getBaseUrl()}doc/tree/`, location.href).pathname;

    tracker.widgetAdded.connect((_, panel) => {
      start(panel).catch(error => console.warn('page did not run by itself', error));
    });
    /* Going back must not count as one more step forward. */
    const push = history.pushState.bind(history);
    history.pushState = (state, unused, to) => {
      if (!to || new URL(to, location.href).href !== location.href) push(state, unused, to);
    };
    /* The window is named after the page's heading. */
    const name = () => {
      const heading = tracker.currentWidget?.node.querySelector('.jp-MarkdownOutput h1');
      const title = heading && heading.firstChild?.textContent.trim();
      if (title && document.title !== title) document.title = title;
    };
    new MutationObserver(name).observe(document.querySelector('title'), { childList: true });

    /* One page at a time: the page left behind is saved and closed. */
    tracker.currentChanged.connect(async (_, panel) => {
      if (!panel) return;
      await panel.context.ready;
      setTimeout(name, 500);
      for (const other of tracker.filter(each => each !== panel)) {
        if (other.context.model.dirty) await other.context.save().catch(() => {});
        if (!other.context.model.dirty) other.close();
      }
    });
    window.addEventListener('popstate', () => {
      const path = location.pathname.startsWith(top)
        ? decodeURIComponent(location.pathname.slice(top.length)) : '';
      if (path) docs.openOrReveal(path);
    });
  };

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB['@taperkey/page'] = {
    init: scope => { shelf = scope; },
    get: async () => {
      const { INotebookTracker } = await shared('@jupyterlab/notebook');
      const { IDocumentManager } = await shared('@jupyterlab/docmanager');
      return () => ({
        __esModule: true,
        default: {
          id: '@taperkey/page:run',
          autoStart: true,
          requires: [INotebookTracker, IDocumentManager],
          activate
        }
      });
    }
  };
})();
