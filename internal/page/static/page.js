// What every page has beside its forms.
import {swap} from './swap.js';
import './tabs.js';

// A form within [data-swap] is sent without leaving the page: what comes back takes the
// place of what is there. The button that is pressed may lead elsewhere than its form.
document.addEventListener('submit', e => {
  const form = e.target, button = e.submitter, part = form.closest('[data-swap]');
  const of = name => button?.hasAttribute('form' + name) ? button['form' + name[0].toUpperCase() + name.slice(1)] : form[name];
  if (!part || e.defaultPrevented || of('enctype') === 'multipart/form-data') return;
  e.preventDefault();
  swap(part, {method: of('method'), action: of('action')}, new URLSearchParams(new FormData(form, button)));
});

// Who goes back to what was refused sees it as it was then, and is told so.
function wasThen() {
  const wrong = document.querySelector('main > .wrong');
  if (!wrong || document.querySelector('main > [data-then]')) return;
  const p = document.createElement('p');
  p.className = 'around';
  p.dataset.then = '';
  p.textContent = 'You came back to this page: it says what was so then. What was done since stands under “What was done”.';
  wrong.before(p);
}
if (performance.getEntriesByType('navigation')[0]?.type === 'back_forward') wasThen();
addEventListener('pageshow', e => { if (e.persisted) wasThen(); });
