// What was typed into forms and has not arrived yet, kept on this device so that
// a phone that falls asleep at the bench loses nothing.
const prefix = 'draft ';
const hours = 12;

// The path of a form and the plant, repot or mother plant it is about: what was
// typed for one plant must never come back for another.
export function keyOf(form) {
  const about = ['plant', 'change'].map((name) => form.elements[name]?.value ?? '');
  const piece = new URLSearchParams(location.search).get('piece') ?? '';
  return prefix + [form.action, ...about, piece].join(' ');
}

export function keep(key, draft) {
  try {
    localStorage.setItem(key, JSON.stringify({ at: Date.now(), ...draft }));
  } catch {
    // There is no room, or the browser keeps nothing: the form works all the same.
  }
}

// kept returns a draft that is not too old.
export function kept(key) {
  try {
    const draft = JSON.parse(localStorage.getItem(key));
    return draft && Date.now() - draft.at < hours * 3600_000 ? draft : null;
  } catch {
    return null;
  }
}

export function forget(key) {
  localStorage.removeItem(key);
}

// forgetSent lets go of what was sent, once a page that the server leads to says
// that it was kept. Sending alone proves nothing: there may be no reception.
export function forgetSent() {
  const arrived = new URLSearchParams(location.search).has('done') || location.pathname.endsWith('/repotted');
  if (!arrived) return;
  for (const key of Object.keys(localStorage)) {
    if (key.startsWith(prefix) && kept(key)?.sent !== false) forget(key);
  }
}
