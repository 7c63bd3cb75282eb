// Brings back what was typed into a form and did not arrive.
import { forget, forgetSent, keep, kept, keyOf } from './drafts.js';

forgetSent();

const form = document.querySelector('main form[method=post]');

// fields returns what a person fills in, and the ids that make sending it twice
// the same as sending it once.
function fields() {
  return [...form.elements].filter((e) => e.name && e.type !== 'file' && e.type !== 'password' &&
    (e.type !== 'hidden' || e.name === 'entry' || e.name === 'new_plant'));
}

function restore(draft) {
  const list = fields();
  if (list.some((e, i) => e.name !== draft.values[i]?.[0])) return; // the form asks for other things now
  for (const [i, e] of list.entries()) {
    const [, value, checked] = draft.values[i];
    if (e.type === 'radio' || e.type === 'checkbox') e.checked = checked;
    else e.value = value;
  }
  const note = document.createElement('p');
  note.className = 'notice';
  note.setAttribute('role', 'status');
  note.textContent = 'What you had typed here is back. ';
  const afresh = document.createElement('button');
  afresh.type = 'button';
  afresh.className = 'quiet';
  afresh.textContent = 'Start afresh';
  afresh.addEventListener('click', () => {
    forget(keyOf(form));
    location.reload();
  });
  note.append(afresh);
  form.before(note);
}

if (form) {
  const key = keyOf(form);
  const save = (sent) => keep(key, { sent, values: fields().map((e) => [e.name, e.value, e.checked === true]) });
  const refused = form.querySelector('.error') !== null || document.querySelector('.preview') !== null;
  const draft = kept(key);
  if (!refused && draft) restore(draft);
  else if (!refused) forget(key);
  form.addEventListener('input', () => save(false));
  form.addEventListener('submit', () => save(true));
}
