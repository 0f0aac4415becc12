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

  const say = (panel, text, kind) => {
    let box = panel.node.querySelector('.taperkey-status');
    if (!box) {
      box = document.createElement('div');
      box.className = 'taperkey-status';
      box.setAttribute('role', 'status');
      panel.toolbar.node.appendChild(box);
    }
    box.textContent = text;
    panel.node.dataset.taperkeyPage = kind;
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

  const run = async (panel, CodeCell) => {
    say(panel, 'Setting up the page…', 'setting-up');
    for (const cell of code(panel)) {
      if (panel.isDisposed) return;
      const reply = await CodeCell.execute(cell, panel.sessionContext);
      if (reply && reply.content.status !== 'ok') {
        const why = reply.content.evalue || 'it was interrupted';
        say(panel, `This page stopped: ${why}. Press “Run this page”. ` +
          'If it stops again, show this line to your instructor.', 'stopped');
        return;
      }
    }
    say(panel, '', 'ready');
  };

  const activate = async (app, tracker, docs) => {
    const { CodeCell } = await shared('@jupyterlab/cells');
    let pressed = Promise.resolve(); // "Run this page" does its own running
    let pressing = 0;
    app.commands.commandExecuted.connect((_, { id, result }) => {
      if (id !== 'notebook:restart-run-all') return;
      pressing += 1;
      pressed = Promise.resolve(result).catch(() => {}).then(() => { pressing -= 1; });
    });

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
      if (!code(panel).every(cell => cell.model.trusted)) {
        say(panel, 'This page is not as it came. Press “Run this page” to start it.', 'waiting');
        return;
      }
      await panel.sessionContext.ready;
      await run(panel, CodeCell);
      let down = false;
      const restarts = [];
      panel.sessionContext.statusChanged.connect(async (_, status) => {
        if (status.includes('restarting')) {
          down = true;
          say(panel, 'Setting up the page…', 'setting-up');
        } else if (down && status === 'idle') {
          down = false;
          if (pressing) {
            await pressed;
            say(panel, '', 'ready');
            return;
          }
          const now = Date.now();
          restarts.push(now);
          if (restarts.filter(then => now - then < 60000).length > 3) {
            say(panel, 'This page keeps stopping. Show this to your instructor.', 'stopped');
          } else {
            await run(panel, CodeCell);
          }
        }
      });
    };

    const { PageConfig } = await shared('@jupyterlab/coreutils');
    const top = new URL(`${PageConfig.getBaseUrl()}doc/tree/`, location.href).pathname;
    const address = path => top + path.split('/').map(encodeURIComponent).join('/');

    tracker.widgetAdded.connect((_, panel) => {
      start(panel).catch(error => console.warn('page did not run by itself', error));
    });
    /* One page at a time: the address follows, the page left behind is saved and closed. */
    tracker.currentChanged.connect(async (_, panel) => {
      if (!panel) return;
      await panel.context.ready;
      const path = address(panel.context.path);
      if (path !== location.pathname) history.pushState({}, '', path);
      const title = panel.content.model?.getMetadata('title');
      document.title = title || panel.context.path.split('/').pop().replace('.ipynb', '');
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
