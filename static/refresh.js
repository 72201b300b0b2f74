// Answers refresh while typing, the address follows, and an answer that is older than the fields says so.
(() => {
  const all = (selector, page = document) => page.querySelectorAll(selector), one = id => document.getElementById(id), form = all('form')[0], [main] = all('main'), box = one('fields');
  if (!box) return;
  // typing: the text field that is not checked before it is left. tries: failed requests since the last answer.
  let timer, request, typing, tries = 0;
  const here = () => location.pathname + '?' + new URLSearchParams(new FormData(form));
  // Some browsers go Back to the default values, so what stands in the fields becomes the default.
  const keep = () => {
    for (const field of all('input,textarea', box)) {
      const bad = field.validity.badInput;
      if (!bad) field.defaultValue = field.value;
      field.defaultChecked = field.checked;
      field.classList.toggle('blank', !field.value && !bad);
    }
    for (const option of all('option', box)) option.defaultSelected = option.selected;
  };
  const late = () => {
    main.className = 'late';
    // A phone that drops the page, or opens its address elsewhere, has the edits.
    history.replaceState(null, '', here());
    if (!one('late')) one('said').insertAdjacentHTML('beforeend', '<p id=late class=look>Not updated yet: webcalc did not answer. All below is from before your last change.</p>');
  };
  const title = fold => (fold.closest('dl>div') ?? fold).firstChild.textContent.split(/[\d:]/)[0];
  const show = page => {
    // What was cut off, or comes from somebody else, has another end.
    if (page.getElementById('menu').childElementCount !== one('menu').childElementCount) throw page;
    // What was opened stays open, and the field being filled in stays where it is on the screen.
    const at = document.activeElement, top = () => at.getBoundingClientRect().top, was = top();
    const folds = ':is(#lead,#seen,#more) details';
    for (const old of all(folds + '[open]')) for (const fold of all(folds, page)) fold.open ||= title(fold) === title(old);
    if (typing && !typing.ariaInvalid) all(`#wrong a[href="#${typing.id}"]`, page)[0]?.closest('li').remove();
    if (!all('#wrong li', page)[0]) page.getElementById('wrong').replaceChildren();
    for (const id of ['wrong', 'said', 'lead', 'seen', 'rests', 'sheet', 'more', 'menu']) {
      const next = page.getElementById(id);
      // What is the same stays: an alert isn't said twice, and a button that is being pressed isn't pulled away.
      if (next && !next.isEqualNode(one(id))) one(id).replaceChildren(...next.childNodes);
    }
    const fields = all('.fields>*', page);
    // Fields keep their place and what was typed; only the sentence beside them is new.
    all('.fields>*').forEach((field, n) => {
      const [input] = all('[id][name]', field), [next] = all('[id][name]', fields[n]), [wrong] = all('.e', fields[n]);
      if (wrong && input === typing) return;
      all('.e', field)[0]?.remove();
      if (wrong) field.append(wrong);
      input.ariaInvalid = wrong ? 'true' : null;
      input.setAttribute('aria-describedby', next.getAttribute('aria-describedby') ?? '');
    });
    scrollBy(0, top() - was);
    all('header a')[0].href = all('header a', page)[0].href;
    document.title = page.title;
    history.replaceState(null, '', new URL(one('link').value).search);
  };
  const refresh = async () => {
    request?.abort();
    const mine = request = new AbortController(), patience = setTimeout(() => mine.abort(), 8000), mark = setTimeout(late, tries ? 0 : 2000);
    try {
      const text = await (await fetch(here(), {signal: mine.signal, headers: {'X-Refresh': '1'}})).text();
      if (mine !== request) return;
      show(new DOMParser().parseFromString(text, 'text/html'));
      main.className = '';
      tries = 0;
    } catch {
      if (mine !== request) return;
      late();
      timer = setTimeout(refresh, Math.min(1000 * 2 ** tries++, 30000));
    } finally { clearTimeout(patience); clearTimeout(mark); }
  };
  const soon = wait => {
    keep();
    main.className ||= 'working';
    clearTimeout(timer);
    timer = setTimeout(refresh, wait);
  };
  // A part of what the answer rests on opens the form at its field, with what was typed and not sent yet.
  form.addEventListener('click', event => {
    const link = event.target.closest('a[href*="#"]'), field = link && one(link.hash.slice(1));
    if (!field || link.pathname !== location.pathname) return;
    event.preventDefault();
    field.closest('details')?.setAttribute('open', '');
    field.focus();
    field.scrollIntoView({block: 'center'});
  });
  box.oninput = ({target}) => {
    typing = target.matches('input:not([type=checkbox]),textarea') ? target : null;
    soon(300);
  };
  box.addEventListener('focusout', ({target}) => {
    if (target !== typing && !target.validity?.badInput && !target.ariaInvalid) return;
    typing = null;
    soon(300);
  });
  // Half a date is sent as a wrong one: the browser itself would send it as blank.
  form.addEventListener('formdata', ({formData}) => {
    for (const field of all('input[name]', form)) if (field.validity.badInput) formData.set(field.name, 'incomplete');
  });
  // A step taken before the answer came: Back, or a second try with the network, finds the edits in the address.
  form.addEventListener('submit', () => { if (main.className) history.replaceState(null, '', here()); });
  const again = () => { if (main.className) soon(0); };
  addEventListener('online', again);
  addEventListener('pageshow', again);
  // What was typed before this script came has no answer yet.
  const typed = [...all('input,textarea', box)].some(field => field.value !== field.defaultValue || field.checked !== field.defaultChecked || field.validity.badInput);
  if (box.contains(document.activeElement) && document.activeElement.matches('input:not([type=checkbox]),textarea')) typing = document.activeElement;
  typed ? soon(0) : keep();
})();
