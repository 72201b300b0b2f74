// The sheet as a file: ticks and fields stay in the phone's storage where a file may use it, and in a saved copy.
(() => {
  const one = id => document.getElementById(id), fields = [...document.querySelectorAll('input')], root = document.documentElement;
  const {plan} = document.querySelector('[data-plan]').dataset, key = 'found ' + plan, found = one('found');
  // The check sum of links: CRC-32 (RFC 1952, section 8).
  const sum = text => {
    let crc = -1;
    for (const letter of text) {
      crc ^= letter.charCodeAt();
      for (let n = 8; n--;) crc = crc >>> 1 ^ (crc & 1 && 0xedb88320);
    }
    return (~crc >>> 0).toString(16).padStart(8, '0');
  };
  // The plan without its check sum, which what is added makes another, and without what a saved copy added.
  const carries = document.querySelector('[name=webcalc-plan]');
  const [, came] = carries.content.match(/&sum=([^&]*)/) ?? [], whole = carries.content.replace(/&sum=[^&]*/, ''), proven = came === sum(whole);
  // Only the end of a link has its last mark encoded.
  const query = whole.replace('&did=' + found.dataset.added, '').replace(/%(2E|2C|3A)$/, decodeURIComponent);
  // A plan that came with a wrong sum isn't given a right one.
  const added = entry => {
    const all = `${query}&did=${entry}`;
    return proven ? all.replace('&', `&sum=${sum(all)}&`) : all;
  };
  const kept = field => field.type === 'checkbox' ? field.checked : field.value;
  const put = (field, value) => field.type === 'checkbox' ? field.checked = value : field.value = value;
  // What can be read of a field, with a point; empty otherwise, and then the field says so.
  const read = name => {
    const field = one(name), text = field.value.trim().replace(',', '.'), good = new RegExp(`^(${field.dataset.form})?$`).test(text);
    field.ariaInvalid = good ? null : 'true';
    // A link that ended with a point would lose it on its way.
    return good ? text.replace(/\.$/, '') : '';
  };
  const send = () => {
    const at = one('at').value.slice(0, 16), renewed = [...found.querySelectorAll('[name]:checked')].map(box => box.name);
    const readings = ['frames', 'gb', 'battery', 'clock'].map(name => [name, read(name)]).filter(reading => reading[1]);
    const entry = [at, ...renewed.length ? renewed : ['none'], ...readings.map(reading => reading.join(':'))].join(',');
    const words = [`${found.dataset.title}, ${at.replace('T', ' ')} site time.`, `Renewed: ${renewed.join(', ') || 'nothing'}.`];
    const named = [...found.querySelectorAll('[data-says]')].filter(field => field.value.trim());
    if (named.length) words.push(`Found: ${named.map(field => `${field.dataset.says} ${field.value.trim()}`).join('; ')}.`);
    const left = [...document.querySelectorAll('#sheet [type=checkbox]:not(:checked)')];
    words.push(left.length ? `Not ticked: ${left.map(box => box.parentNode.textContent).join('; ')}.` : 'All ticked.');
    const said = words.join(' '), link = `${found.dataset.back}${added(entry)}`;
    one('back').value = at ? `${said}\n${link}` : '';
    one('message').href = 'sms:?&body=' + encodeURIComponent(one('back').value);
    one('mail').href = `mailto:?subject=${encodeURIComponent(found.dataset.title)}&body=${encodeURIComponent(one('back').value)}`;
    return renewed.length || readings.length ? entry : '';
  };
  const keep = () => {
    try {
      localStorage[key] = JSON.stringify({when: Date.now(), values: fields.map(kept)});
    } catch {
      one('lost').hidden = false;
    }
  };
  const now = () => new Date(Date.now() - new Date().getTimezoneOffset() * 60_000).toISOString().slice(0, 16);
  try {
    const {when, values} = JSON.parse(localStorage[key] || '{"when": 0}');
    if (when > (root.dataset.saved || 0)) values.forEach((value, n) => put(fields[n], value));
  } catch {
    one('lost').hidden = false;
  }
  one('still').hidden = true;
  one('works').hidden = false;
  if (!one('at').value) one('at').value = now();
  document.addEventListener('input', () => { send(); keep(); });
  document.addEventListener('change', () => { send(); keep(); });
  document.addEventListener('focusin', event => { if (event.target.readOnly) event.target.select(); });
  one('now').onclick = () => { one('at').value = now(); send(); keep(); };
  one('save').onclick = () => {
    root.dataset.saved = Date.now();
    fields.forEach(field => field.type === 'checkbox' ? field.toggleAttribute('checked', field.checked) : field.setAttribute('value', field.value));
    const copy = root.cloneNode(true), of = id => copy.querySelector('#' + id);
    of('still').hidden = false;
    of('works').hidden = true;
    const entry = send();
    if (entry) copy.querySelector('[name=webcalc-plan]').content = added(entry);
    of('found').dataset.added = entry;
    const file = new Blob(['<!doctype html>\n', copy.outerHTML], {type: 'text/html'});
    Object.assign(document.createElement('a'), {href: URL.createObjectURL(file), download: `${found.dataset.file}.html`}).click();
  };
  send();
})();
