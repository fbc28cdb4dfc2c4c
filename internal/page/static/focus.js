// Where the keyboard is, when what had it is taken out of the page: at the same thing in
// the new part, else at what lies nearest to where it was.

const reached = 'a[href], button, input, select, textarea, summary, [tabindex]';
const visible = e => e.checkVisibility() && e.type !== 'hidden' && !e.disabled;
// is tells one thing from its neighbours, whatever is written into it now.
const is = e => e.name
  ? [e.name, e.matches('button, [type="checkbox"], [type="radio"]') && e.value].join()
  : e.getAttribute('href') ?? e.getAttribute('aria-label') ?? e.textContent.trim();

// placeOf remembers what has the focus in a part; null: nothing there.
export function placeOf(part) {
  const e = document.activeElement;
  if (!e || e === part || !part.contains(e)) return null;
  const near = []; // what it is in and what comes after that, the nearest first
  for (let a = e; a !== part; a = a.parentElement) {
    for (let s = a; s; s = s.nextElementSibling) if (s.id) near.push(s.id);
  }
  return {id: e.id, is: is(e), within: e.parentElement.closest('[id]').id, near};
}

// restore puts the focus where it was, in the part that took the other's place.
export function restore(place, fresh) {
  if (!place) return;
  const of = id => id === fresh.id ? fresh : fresh.querySelector('#' + CSS.escape(id));
  const within = of(place.within);
  const same = place.id ? of(place.id) : within && [...within.querySelectorAll(reached)].find(e => is(e) === place.is);
  if (same && visible(same)) return same.focus({preventScroll: true});
  for (const id of place.near) {
    const home = of(id), to = home && visible(home) && begins(home);
    if (to) return go(to);
  }
  go(fresh.querySelector('[data-rest]') ?? begins(fresh) ?? fresh);
}

// begins is where a part of a page begins: at its heading, else at what is first reached.
const begins = home => [...home.querySelectorAll('h2, h3')].find(visible)
  ?? (home.matches(reached) ? home : [...home.querySelectorAll(reached)].find(e => visible(e) && e.tabIndex >= 0));

// go puts the focus on something, which is seen where a keyboard is used.
export function go(e) {
  if (!e.matches(reached)) e.tabIndex = -1;
  e.focus({preventScroll: true});
  if (e.matches(':focus-visible')) e.scrollIntoView({block: 'nearest'});
}

// A finger, mouse button or space bar that is down: what it is on stays until it is let
// go, and the click that follows was heard.
let lift = () => {}, lifted = Promise.resolve();
const down = () => { lift(); lifted = new Promise(done => { lift = done; }); };
const up = () => setTimeout(lift, 50);
addEventListener('pointerdown', down, true);
addEventListener('keydown', e => { if (e.key === ' ' && !e.repeat) down(); }, true);
for (const kind of ['pointerup', 'pointercancel', 'keyup', 'change']) addEventListener(kind, up, true); // a list that opened keeps the first to itself
addEventListener('blur', up);

// untouched waits until nothing is down.
export async function untouched() {
  for (let was; was !== lifted; await was) was = lifted;
}
