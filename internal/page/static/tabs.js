// Changes of the stash that were made elsewhere: in another tab, on a phone, by a command.
// A page on which nothing was typed or moved shows them by itself, others say that there
// are some. Only the tab that is seen listens: a browser has few ways to one server.
const shown = document.documentElement.dataset;
let touched = false, source = null, latest = null;

for (const kind of ['input', 'pointerdown', 'dragstart', 'swapped']) {
  document.addEventListener(kind, e => { if (e.target.closest?.('main')) touched = true; }, true);
}

function listen() {
  if (document.hidden) {
    source?.close();
    source = null;
  } else if (!source && shown.stash) {
    source = new EventSource('/events');
    source.addEventListener('message', e => { latest = e.data; setTimeout(compare, 300); });
  }
}

// compare waits for what this page itself has under way.
function compare() {
  if (latest === shown.stash) {
    document.querySelector('.changed')?.remove();
  } else if (document.querySelector('[aria-busy="true"]')) {
    setTimeout(compare, 300);
  } else if (touched) {
    tell();
  } else {
    show();
  }
}

function show() {
  const here = new URL(location);
  here.searchParams.delete('done'); // it was said once
  location.replace(here.pathname + here.search);
}

function tell() {
  if (document.querySelector('.changed')) return;
  const bar = document.createElement('p'), words = document.createElement('span'), button = document.createElement('button');
  bar.className = 'changed';
  words.setAttribute('role', 'status');
  words.textContent = 'The stash has changed. ';
  button.type = 'button';
  button.className = 'quiet';
  button.textContent = 'Show it';
  button.addEventListener('click', show);
  bar.append(words, button);
  document.body.append(bar);
}

document.addEventListener('visibilitychange', listen);
listen();
