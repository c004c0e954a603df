// Finds what a person would by the name it goes by: the body of a function of (role, name, group), which gives the first
// such element that is seen, or null. `name` is the whole of it, or its beginning where it ends in an ellipsis.
const [role, name, group] = arguments;
const KINDS = {
  button: 'button, summary, [role=button]',
  link: 'a[href]',
  heading: 'h1',
  field: 'input, select, textarea',
  group: 'fieldset, nav, section, [role=group]',
  picture: 'img',
  text: '*',
};

const plain = (text) => text.replace(/\s+/g, ' ').trim();
const words = (element) => plain(element?.textContent ?? '');

function nameOf(element) {
  const by = element.getAttribute('aria-labelledby');
  if (by) return plain(by.split(' ').map((id) => words(document.getElementById(id))).join(' '));
  if (element.hasAttribute('aria-label')) return plain(element.getAttribute('aria-label'));
  if (element.localName === 'fieldset') return words(element.querySelector('legend'));
  return element.labels?.length ? words(element.labels[0]) : (element.getAttribute('alt') ?? words(element));
}

function fits(element) {
  const called = role === 'text' ? words(element) : nameOf(element);
  return name.endsWith('…') ? called.startsWith(name.slice(0, -1)) : called === name;
}

// The fields behind keys are unseen themselves; their labels are not.
const seen = (element) => (element.labels?.[0] ?? element).checkVisibility({ visibilityProperty: true });

const found = [...(group ?? document).querySelectorAll(KINDS[role])].filter((element) => fits(element) && seen(element));
return (role === 'text' ? found.at(-1) : found[0]) ?? null; // the text itself, not what holds it
