// Keeps what is typed into a form on this device until it has arrived, so that a
// phone that falls asleep at the bench loses nothing.
const form = document.querySelector('main form[method=post]');
const key = form && `draft ${form.action}`;
const hours = 12;

// fields returns what a person fills in, and the id that makes sending it twice
// the same as sending it once.
function fields() {
  return [...form.elements].filter((e) => e.name && e.type !== 'file' && e.type !== 'password' &&
    (e.type !== 'hidden' || e.name === 'entry' || e.name === 'new_plant' || e.name === 'plant'));
}

function save(sent) {
  const values = fields().map((e) => [e.name, e.value, e.checked === true]);
  localStorage.setItem(key, JSON.stringify({ at: Date.now(), sent, values }));
}

function restore(draft) {
  for (const [i, e] of fields().entries()) {
    const [name, value, checked] = draft.values[i] ?? [];
    if (name !== e.name) return;
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
    localStorage.removeItem(key);
    location.reload();
  });
  note.append(afresh);
  form.before(note);
}

if (form) {
  const refused = form.querySelector('.error') !== null || document.querySelector('.preview') !== null;
  const draft = JSON.parse(localStorage.getItem(key) ?? 'null');
  const fresh = draft && Date.now() - draft.at < hours * 3600_000;
  if (!refused && fresh) restore(draft);
  else if (!refused) localStorage.removeItem(key);
  form.addEventListener('input', () => save(false));
  form.addEventListener('submit', () => save(true));
}
