/* A page's connection: lost, silent, back. Loaded by remoteEntry.js; written by hand, no build step.
 *
 * A shop's Wi-Fi often goes silent without being cut: the browser then believes that it is
 * connected. So a page that sent something and hears nothing asks the server; no answer counts as
 * lost. What was typed meanwhile is kept here, and typed again when the connection is back.
 */
const HEARS_MS = 4000; // so long an answer may take before the server is asked
const ASKS_MS = 4000; // and so long that answer
const TRIES_MS = 5000; // and so long a new connection
const SETTLES_MS = 2500; // what waited in the browser is sent and answered by then

const LOST = 'This page has lost its connection. What you typed before is kept; what you type now ' +
  'is not saved. Wait until this line is gone.';
const SHORT = 'No connection: wait before you type';
const BACK = 'The connection is back';
const SAVED = ', and what you typed meanwhile is saved';
const PRESS = '. If you pressed a button meanwhile, press it again.';
const SHOWN_MS = 20000; // so long that is said
const FIELDS = 'input:not([type="range"]), textarea, select';

const after = ms => new Promise(done => { setTimeout(done, ms); });

/* What was typed and is not known to have arrived, by its place on the page. */
class Typed {
  constructor(panel) {
    this.panel = panel;
    this.kept = new Map();
    for (const kind of ['input', 'change']) {
      panel.content.node.addEventListener(kind, event => {
        if (event.isTrusted && event.target.matches?.(FIELDS)) this.note(event.target, kind);
      }, true);
    }
  }

  fields(cell) { return [...cell.node.querySelectorAll(FIELDS)]; }

  note(field, kind) {
    const at = this.panel.content.widgets.findIndex(cell => cell.node.contains(field));
    if (at < 0) return;
    const turn = this.fields(this.panel.content.widgets[at]).indexOf(field);
    const chosen = field.type === 'radio' || field.type === 'checkbox';
    if (field.type === 'radio') { // one answer of a group
      for (const [key, one] of this.kept) if (one.group && one.group === field.name) this.kept.delete(key);
    }
    this.kept.set(`${at} ${turn}`, { at, turn, chosen, group: chosen && field.name,
      value: chosen ? field.checked : field.value, label: field.getAttribute('aria-label') || '',
      sent: kind === 'change' });
  }

  /* All that was sent has been answered; a box sends its last letters only after that. */
  arrived() { for (const [key, one] of this.kept) if (one.sent) this.kept.delete(key); }

  typeAgain() {
    for (const one of [...this.kept.values()]) {
      const field = this.panel.content.widgets[one.at] &&
        this.fields(this.panel.content.widgets[one.at])[one.turn];
      if (!field || field.disabled || (field.getAttribute('aria-label') || '') !== one.label) continue;
      if (one.chosen) { if (field.checked !== one.value) field.click(); continue; }
      if (field.value === one.value) continue;
      field.value = one.value;
      field.dispatchEvent(new Event('input', { bubbles: true }));
      field.dispatchEvent(new Event('change', { bubbles: true }));
    }
    this.kept.clear();
  }
}

/* Follow the connection of a page.
 *
 * `page` has: base (address of the server), panel, busy() (it is started again by other means),
 * closed() (the class is), run(), verdict(), ready(news), stopped(why, news), kernel().
 */
export const followConnection = page => {
  const { panel } = page;
  const typed = new Typed(panel);
  const waiting = new Map(); // messages without an answer, and since when
  let offline = false;
  let silent = false; // nothing is heard although the browser believes that it is connected
  let life; // of what runs the page: another one knows nothing of what is open here
  let returning = false;
  let heard = Date.now();
  let tried = 0;

  const isReady = () => panel.node.dataset.taperkeyPage === 'ready';
  const works = () => isReady() || (life && panel.node.dataset.taperkeyPage === 'setting-up');

  const ask = async () => {
    const ends = new AbortController();
    const late = setTimeout(() => ends.abort(), ASKS_MS);
    const reply = await fetch(`${page.base}api/me`, { cache: 'no-store', signal: ends.signal })
      .catch(() => null);
    clearTimeout(late);
    return reply;
  };

  const lost = () => { offline = true; page.stopped(LOST, SHORT); };

  const back = async () => {
    if (returning) return;
    returning = true;
    try {
      const reply = await page.kernel()?.requestKernelInfo();
      const now = reply?.content.implementation_version;
      if (panel.isDisposed || !now) return;
      const another = life && now !== life;
      life = now;
      const before = new Set(waiting.keys());
      if (!another && before.size) await after(SETTLES_MS); // what waited here is sent first
      if (panel.isDisposed || offline) return;
      const never = [...before].some(id => waiting.has(id));
      if (!another && !never) { page.verdict(); return; }
      waiting.clear();
      await page.run(); // boxes that wait for an answer that never comes are made anew
      if (panel.isDisposed || offline || !isReady()) return;
      await after(100);
      const some = typed.kept.size;
      typed.typeAgain();
      page.ready(BACK + (some ? SAVED : '') + PRESS);
      setTimeout(() => { if (!panel.isDisposed && isReady()) page.ready(''); }, SHOWN_MS);
    } finally { returning = false; }
  };

  const listen = kernel => {
    if (!kernel || kernel.tkHeard) return;
    kernel.tkHeard = true;
    kernel.anyMessage.connect((_, { msg, direction }) => {
      if (direction === 'send') {
        if (msg.channel === 'shell') waiting.set(msg.header.msg_id, Date.now());
        return;
      }
      heard = Date.now();
      if (msg.header.msg_type === 'status' && msg.content.execution_state === 'idle') {
        waiting.delete(msg.parent_header.msg_id);
        if (waiting.size || offline) return;
        setTimeout(() => { if (!waiting.size && !offline && !returning) typed.arrived(); }, 300);
      }
    });
  };

  panel.sessionContext.connectionStatusChanged.connect((_, status) => {
    if (panel.isDisposed || page.busy()) return;
    if (status === 'connected') {
      const was = offline;
      offline = silent = false;
      if (was) back().catch(() => {});
    } else if (offline || works()) lost();
  });

  /* JupyterLab gives up after a few tries; a computer that slept is back later. */
  let asking = false;
  const look = async () => {
    const oldest = Math.min(...waiting.values());
    const quiet = Date.now() - Math.max(oldest, heard) > HEARS_MS; // no answer, and nothing else
    if (!offline && !(waiting.size && quiet && works())) return;
    const reply = await ask();
    if (panel.isDisposed) return;
    if (reply?.status === 403) {
      if (page.closed()) return; // it may be opened again
      clearInterval(again);
      page.stopped('You are not in the class on this device any more. What you typed is kept. ' +
        'Load this page again to come in.');
      return;
    }
    const kernel = page.kernel();
    if (!reply) {
      if (!offline && kernel?.connectionStatus === 'connected') { silent = true; lost(); }
      return;
    }
    if (!offline || !reply.ok) return;
    if (silent && !waiting.size) { // all came through after all
      offline = silent = false;
      back().catch(() => {});
    } else if (silent || (kernel?.connectionStatus !== 'connected' && Date.now() - tried > TRIES_MS)) {
      silent = false;
      tried = Date.now();
      kernel?.reconnect().catch(() => {}); // now, not when JupyterLab's own long pause ends
    }
  };
  const again = setInterval(async () => {
    if (panel.isDisposed) { clearInterval(again); return; }
    if (asking) return;
    asking = true;
    await look().catch(() => {});
    asking = false;
  }, 2000);

  panel.sessionContext.kernelChanged.connect((_, { oldValue, newValue }) => {
    if (newValue) listen(newValue);
    if (panel.isDisposed || page.busy() || !oldValue || newValue) return;
    offline = false;
    page.stopped('This page has stopped. What you typed before is kept. Press “Run this page”.');
  });

  panel.sessionContext.ready.then(() => {
    const kernel = page.kernel();
    listen(kernel);
    return kernel?.info.then(info => { life = info.implementation_version; });
  }).catch(() => {});
};
