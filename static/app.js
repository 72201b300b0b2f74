// Answers refresh while typing, the address follows, and a refresh that fails says so.
(() => {
  const form = document.querySelector('form'), one = id => document.getElementById(id);
  if (!form || !window.fetch) return;
  let timer, turn = 0;
  const failed = () => {
    document.querySelectorAll('.figure').forEach(figure => figure.classList.add('stale'));
    if (!one('late')) one('answer').insertAdjacentHTML('beforeend', '<p id=late class=look>Not updated: webcalc did not answer. The figure is from before your last change.</p>');
  };
  // What was opened stays open, and the field being filled in stays where it is on the screen.
  const folds = page => [...page.querySelectorAll('#more summary')], title = summary => summary.textContent.split(/[\d:]/)[0];
  const show = page => {
    const at = document.activeElement, top = () => at.getBoundingClientRect().top, was = top();
    const opened = folds(document).filter(fold => fold.parentNode.open).map(title);
    for (const fold of folds(page)) fold.parentNode.open = opened.includes(title(fold));
    for (const id of ['wrong', 'answer', 'sheet', 'more', 'menu']) one(id)?.replaceChildren(...page.getElementById(id).childNodes);
    const fresh = page.querySelectorAll('#fields summary');
    document.querySelectorAll('#fields summary').forEach((summary, n) => summary.replaceChildren(...fresh[n].childNodes));
    // Fields keep their place and what was typed; only the sentence beside them is new.
    const others = page.querySelectorAll('.fields>*');
    form.querySelectorAll('.fields>*').forEach((field, n) => {
      field.querySelector('.e')?.remove();
      const wrong = others[n].querySelector('.e');
      if (wrong) field.append(wrong);
      for (const name of ['aria-invalid', 'aria-describedby']) {
        const value = others[n].querySelector('[id][name]').getAttribute(name), input = field.querySelector('[id][name]');
        value ? input.setAttribute(name, value) : input.removeAttribute(name);
      }
    });
    scrollBy(0, top() - was);
    document.title = page.title;
    history.replaceState(null, '', new URL(one('link').value).search);
  };
  const refresh = async () => {
    const mine = ++turn;
    try {
      const reply = await fetch(location.pathname + '?' + new URLSearchParams(new FormData(form)));
      const text = await reply.text();
      if (mine !== turn) return;
      const page = new DOMParser().parseFromString(text, 'text/html');
      page.getElementById('answer') ? show(page) : failed();
    } catch { if (mine === turn) failed(); }
  };
  form.addEventListener('input', () => { clearTimeout(timer); timer = setTimeout(refresh, 300); });
  document.addEventListener('focusin', event => { if (event.target.readOnly) event.target.select(); });
})();
