// What every page has beside its forms.
import {swap} from './swap.js';
import './tabs.js';

// A form within [data-swap] is sent without leaving the page: what comes back takes the
// place of what is there.
document.addEventListener('submit', e => {
  const part = e.target.closest('[data-swap]');
  if (!part || e.defaultPrevented || e.target.enctype === 'multipart/form-data') return;
  e.preventDefault();
  const body = new URLSearchParams(new FormData(e.target, e.submitter));
  swap(part, e.target, body);
});
