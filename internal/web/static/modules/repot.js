import './plant-form.js';
import './plant.js';

// A plant that is known needs no name and group: its label is enough.
const label = document.querySelector('#f-label[list]');
const newcomer = document.querySelector('.newcomer');
if (label && newcomer) {
  const after = new URLSearchParams(location.search).get('after');
  const known = new Set([...document.querySelectorAll('#l-label option')].map((o) => o.value.toLowerCase()));
  const look = () => { newcomer.hidden = known.has(label.value.trim().toLowerCase()); };
  label.addEventListener('input', look);
  label.addEventListener('change', () => {
    look();
    if (newcomer.hidden) location.assign(`/repot?${new URLSearchParams({ label: label.value.trim(), ...(after && { after }) })}`);
  });
  look();
}
