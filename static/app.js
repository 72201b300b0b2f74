// Answers refresh while typing, the address follows, and a refresh that fails says so.
(() => {
  const all = (selector, page = document) => page.querySelectorAll(selector), one = id => document.getElementById(id), form = all('form')[0];
  if (!form) return;
  let timer, turn = 0;
  const failed = () => {
    for (const figure of all('.figure')) figure.classList.add('stale');
    if (!one('late')) one('answer').insertAdjacentHTML('beforeend', '<p id=late class=look>Not updated: webcalc did not answer. The figure is from before your last change.</p>');
  };
  const title = fold => fold.firstChild.textContent.split(/[\d:]/)[0];
  const show = page => {
    // What was opened stays open, and the field being filled in stays where it is on the screen.
    const at = document.activeElement, top = () => at.getBoundingClientRect().top, was = top();
    for (const old of all('#more [open]')) for (const fold of all('#more details', page)) fold.open ||= title(fold) === title(old);
    for (const id of ['wrong', 'answer', 'sheet', 'more', 'menu']) one(id)?.replaceChildren(...page.getElementById(id).childNodes);
    const folds = all('#fields summary', page), fields = all('.fields>*', page);
    all('#fields summary').forEach((summary, n) => summary.replaceChildren(...folds[n].childNodes));
    // Fields keep their place and what was typed; only the sentence beside them is new.
    all('.fields>*').forEach((field, n) => {
      const [input] = all('[id][name]', field), [wrong] = all('.e', fields[n]);
      all('.e', field)[0]?.remove();
      if (wrong) field.append(wrong);
      input.ariaInvalid = wrong ? 'true' : null;
      input.setAttribute('aria-describedby', wrong ? wrong.id : '');
    });
    scrollBy(0, top() - was);
    document.title = page.title;
    history.replaceState(null, '', new URL(one('link').value).search);
  };
  const refresh = async () => {
    const mine = ++turn;
    try {
      const text = await (await fetch(location.pathname + '?' + new URLSearchParams(new FormData(form)))).text();
      if (mine !== turn) return;
      const page = new DOMParser().parseFromString(text, 'text/html');
      page.getElementById('answer') ? show(page) : failed();
    } catch { if (mine === turn) failed(); }
  };
  form.oninput = () => { clearTimeout(timer); timer = setTimeout(refresh, 300); };
  document.addEventListener('focusin', event => { if (event.target.readOnly) event.target.select(); });
})();
