// swap sends a form and puts the answer's part of the same name in the place of a part
// of this page; what was done or went wrong is said above. Focus and places stay. What is
// asked while an answer is on its way waits for it; the same once more is a slip.
import {placeOf, restore, untouched} from './focus.js';

let before = Promise.resolve();
const under = new Set();

export function swap(part, form, body) {
  const name = part.dataset.swap, what = `${name} ${form.method} ${form.action} ${body}`;
  if (under.has(what)) return before;
  under.add(what);
  part.setAttribute('aria-busy', 'true');
  before = before.then(() => ask(document.querySelector(`[data-swap="${name}"]`), form, body)).finally(() => under.delete(what));
  return before;
}

// isOf tells what opens from its neighbours, whatever it counts.
const isOf = details => details.querySelector('summary').textContent.replace(/\d+/g, '').trim();

async function ask(part, form, body) {
  const name = part.dataset.swap;
  part.setAttribute('aria-busy', 'true');
  let text, url, ok;
  try {
    const got = form.method === 'get'
      ? await fetch(form.action.split('?')[0] + (body.size ? '?' + body : ''), {headers: {Accept: 'text/html'}})
      : await fetch(form.action, {method: 'POST', body, headers: {Accept: 'text/html'}});
    text = await got.text();
    url = got.url;
    ok = got.ok;
  } catch {
    part.removeAttribute('aria-busy');
    say('wrong', 'The program does not answer. Is it still running?');
    return;
  }
  await untouched();
  const page = new DOMParser().parseFromString(text, 'text/html');
  const wrong = page.querySelector('main > .wrong');
  const fresh = page.querySelector(`[data-swap="${name}"]`);
  part.removeAttribute('aria-busy');
  if (!fresh || wrong && !ok) { // what was written stays
    if (wrong || !ok) say('wrong', [...wrong?.children ?? []].map(e => e.textContent.trim()).join('; ') || text.slice(0, 200));
    else location.assign(url);
    return;
  }
  const done = page.querySelector('main > .done')?.textContent.trim() ?? ''; // before the part is taken out of its page
  const place = placeOf(part), opened = [...part.querySelectorAll('details[open]')].map(isOf);
  fresh.querySelectorAll('details').forEach(d => { d.open ||= opened.includes(isOf(d)); });
  part.replaceWith(fresh);
  if (page.documentElement.dataset.version) document.documentElement.dataset.version = page.documentElement.dataset.version;
  for (const sel of ['h1', '.lead', '.sheets [aria-current] b', 'main > form[action$="/stow"] h2']) {
    const now = page.querySelector(sel), was = document.querySelector(sel);
    if (now && was) was.textContent = now.textContent;
  }
  say('done', done);
  if (name === 'main' || form.method === 'get') history.replaceState(null, '', withoutDone(url));
  fresh.dispatchEvent(new CustomEvent('swapped', {bubbles: true}));
  restore(place, fresh);
}

// withoutDone is an address that does not say again what was done.
export function withoutDone(url) {
  const u = new URL(url, location);
  u.searchParams.delete('done');
  return u.href;
}

// say shows words above all: what was done, or what went wrong.
export function say(kind, words) {
  document.querySelectorAll('main > .said').forEach(e => e.remove());
  document.querySelectorAll('main > .done, main > .wrong').forEach(e => e.remove());
  if (!words) return;
  const p = document.createElement(kind === 'wrong' ? 'div' : 'p');
  p.className = kind + ' said';
  p.setAttribute('role', kind === 'wrong' ? 'alert' : 'status');
  p.textContent = words;
  if (kind === 'wrong') {
    const away = document.createElement('button');
    away.type = 'button';
    away.className = 'quiet';
    away.textContent = 'Close';
    p.append(away);
  }
  document.querySelector('main').prepend(p);
  p.addEventListener('click', () => p.remove());
  if (kind === 'done') setTimeout(() => p.remove(), 8000); // what is there shows it too
}
