// The block is drawn as it is chosen.
const form = document.querySelector('form[data-order]');
const picture = form.querySelector('[data-picture]'), about = form.querySelector('[data-words]');
const drawn = form.dataset.order.split(' ');
form.addEventListener('change', e => {
  if (!drawn.includes(e.target.name)) return;
  const q = new URLSearchParams();
  for (const [name, value] of new FormData(form)) if (drawn.includes(name) && value) q.set(name, value);
  picture.src = picture.src.split('?')[0] + '?' + q;
  const chosen = form.elements.recipe.selectedOptions[0];
  about.firstChild.textContent = chosen.dataset.about + ' ';
});
// Where it cannot be drawn the form says why once it is sent.
picture.addEventListener('error', () => { picture.style.visibility = 'hidden'; });
picture.addEventListener('load', () => { picture.style.visibility = ''; });
