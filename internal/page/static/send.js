// Photos are sent one after another, each looked at while the next is on its way, and
// told of as it is done.
import {swap} from './swap.js';

const form = document.querySelector('form[data-send]');
const list = form.querySelector('.sending');
const camera = form.querySelector('[data-camera]');
const files = form.querySelector('input[name="photo"]');
let waiting = [], busy = 0, batch = '', at = '', failed = 0;
const atOnce = 2;

files.removeAttribute('required');
// A phone that keeps HEIC sends JPEG where that is not asked for; a laptop sends what it has.
if (matchMedia('(hover: hover)').matches) files.accept += ',image/heic,.heic';
form.querySelector('button').hidden = true;
files.addEventListener('change', () => { take(files.files); files.value = ''; });
camera.addEventListener('change', () => { take(camera.files); camera.value = ''; });
form.addEventListener('submit', e => e.preventDefault());

// Anywhere on the page photos may be dropped.
for (const kind of ['dragover', 'dragenter']) {
  document.addEventListener(kind, e => { e.preventDefault(); form.classList.add('over'); });
}
document.addEventListener('dragleave', e => { if (!e.relatedTarget) form.classList.remove('over'); });
document.addEventListener('drop', e => {
  e.preventDefault();
  form.classList.remove('over');
  take(e.dataTransfer.files);
});
document.addEventListener('paste', e => { if (e.clipboardData?.files.length) take(e.clipboardData.files); });

function take(all) {
  form.setAttribute('aria-busy', 'true'); // what is sent here was not changed elsewhere
  list.hidden = false;
  for (const file of all) {
    const row = document.createElement('li');
    const name = document.createElement('span'), state = document.createElement('span'), bar = document.createElement('progress');
    name.textContent = file.name;
    state.className = 'small';
    state.textContent = 'waits';
    bar.max = 1;
    bar.value = 0;
    bar.setAttribute('aria-label', file.name);
    row.append(name, ' ', state, bar);
    list.append(row);
    waiting.push({file, state, bar, row});
  }
  next();
}

// The first photo makes the batch; the others go into it.
function next() {
  while (waiting.length && busy < (batch ? atOnce : 1)) {
    busy++;
    send(waiting.shift());
  }
  if (waiting.length || busy) return;
  if (at && !failed) return location.assign(at);
  if (at) swap(document.querySelector('#waiting'), {method: 'get', action: form.baseURI}, new URLSearchParams());
  form.removeAttribute('aria-busy');
  if (at && !form.querySelector('a.go')) {
    const go = document.createElement('a');
    go.className = 'go';
    go.href = at;
    go.textContent = 'Go on with the others';
    list.after(go);
    go.focus();
  }
}

// broken is a photo that was lost on its way: it is sent again when you say so, and by
// itself when the network is back.
function broken(one) {
  one.state.textContent = 'it was not sent whole: is the program running, and the network there? ';
  const button = document.createElement('button');
  button.type = 'button';
  button.className = 'quiet';
  button.textContent = 'Send it again';
  const again = () => {
    removeEventListener('online', again);
    if (document.activeElement === button) files.focus();
    button.remove();
    form.parentElement.querySelectorAll('a.go').forEach(a => a.remove());
    failed--;
    one.state.textContent = 'waits';
    one.bar.value = 0;
    one.row.append(one.bar);
    waiting.push(one);
    next();
  };
  button.addEventListener('click', again);
  addEventListener('online', again);
  one.row.append(button);
}

function send(one) {
  const data = new FormData();
  data.append('photo', one.file, one.file.name);
  const ask = new XMLHttpRequest();
  ask.open('POST', form.getAttribute('action') + (batch ? '?batch=' + batch : ''));
  ask.setRequestHeader('Accept', 'application/json');
  ask.responseType = 'json';
  ask.upload.addEventListener('progress', e => {
    one.state.textContent = 'on its way';
    if (e.lengthComputable) one.bar.value = 0.5 * e.loaded / e.total;
  });
  ask.upload.addEventListener('load', () => {
    one.state.textContent = 'looked at';
    one.bar.removeAttribute('value');
  });
  ask.addEventListener('loadend', () => {
    busy--;
    one.bar.remove();
    const got = ask.response;
    if (ask.status === 200 && got?.photos?.length) {
      batch = got.batch;
      at = got.at;
      const p = got.photos[0];
      one.state.textContent = p.wrong ?? (p.pieces === 1 ? '1 piece' : p.pieces + ' pieces');
      if (p.wrong) failed++;
    } else if (got?.wrong) {
      failed++;
      one.state.textContent = got.wrong + '; ' + got.remedy;
    } else {
      failed++;
      broken(one);
    }
    next();
  });
  ask.send(data);
}
