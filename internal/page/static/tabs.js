// Changes that were made elsewhere to what this page shows: in another tab, on a phone, by
// a command. A page on which nothing was typed, chosen or moved shows them by itself,
// others say that there are some. Only the tab that is seen listens: a browser has few
// ways to one server.
import {go, untouched} from './focus.js';
import {swap, say, withoutDone} from './swap.js';

const root = new URL('../../', import.meta.url).pathname; // what all addresses begin with
const shown = document.documentElement.dataset;
let touched = false, leaving = false, source = null, latest = null;
let since = ''; // what was shown when it was last asked what there is

const part = () => document.querySelector('[data-swap]'); // that is shown anew; null: the page

for (const kind of ['input', 'pointerdown', 'dragstart', 'keydown']) {
  document.addEventListener(kind, e => {
    leaving = false; // it led to a file, which leaves the page here
    if (e.target.closest?.('[data-swap]') || !part() && e.target.closest?.('main')) touched = true;
  }, true);
}
document.addEventListener('swapped', () => { touched = false; }, true);
addEventListener('beforeunload', () => { leaving = true; });
addEventListener('pageshow', () => { leaving = false; });

function listen() {
  if (document.hidden) {
    unlisten();
  } else if (!source && shown.version) {
    since = latest = shown.version; // what was told before is no news any more
    source = new EventSource(root + 'events?of=/' + encodeURIComponent(location.pathname.slice(root.length)));
    source.addEventListener('message', e => { latest = e.data; setTimeout(compare, 300); });
  }
}

function unlisten() {
  source?.close();
  source = null;
}

// compare waits for what this page itself has under way. What it did since it asked may be
// newer than what it is told: then it asks anew.
function compare() {
  if (leaving) return;
  if (latest === shown.version) {
    document.querySelector('.changed')?.remove();
  } else if (document.querySelector('[aria-busy="true"]')) {
    setTimeout(compare, 300);
  } else if (since !== shown.version) {
    unlisten();
    listen();
  } else if (touched) {
    tell();
  } else {
    show();
  }
}

async function show() {
  const here = new URL(withoutDone(location));
  const asked = document.querySelector('.changed')?.contains(document.activeElement);
  document.querySelector('.changed')?.remove();
  await untouched();
  if (leaving) return;
  if (!part()) return location.replace(here.pathname + here.search); // what was done was said once
  await swap(part(), {method: 'get', action: here.pathname}, here.searchParams);
  if (asked) go(document.querySelector('h1'));
  if (!document.querySelector('main > .wrong')) say('done', 'It was changed elsewhere, and is shown as it is now.');
}

function tell() {
  if (document.querySelector('.changed')) return;
  const bar = document.createElement('p'), words = document.createElement('span'), button = document.createElement('button');
  bar.className = 'changed';
  words.setAttribute('role', 'status');
  words.textContent = 'This was changed elsewhere. ';
  button.type = 'button';
  button.className = 'quiet';
  button.textContent = 'Show it';
  button.addEventListener('click', show);
  bar.append(words, button);
  document.body.append(bar);
}

document.addEventListener('visibilitychange', listen);
listen();
