// Files or a folder are chosen on the phone: names, sizes and times are packed as text; no picture is read or sent.
(() => {
  const place = document.getElementById('pick'), box = document.getElementById('listing');
  const two = n => String(n).padStart(2, '0');
  // A card keeps local time; the phone turned it into an instant by its own zone, and this turns it back.
  const local = ms => {
    const d = new Date(ms);
    return Date.UTC(d.getFullYear(), d.getMonth(), d.getDate(), d.getHours(), d.getMinutes(), d.getSeconds());
  };
  const written = ms => {
    const d = new Date(ms);
    return `${d.getUTCFullYear()}-${two(d.getUTCMonth() + 1)}-${two(d.getUTCDate())}T${two(d.getUTCHours())}:${two(d.getUTCMinutes())}:${two(d.getUTCSeconds())}`;
  };
  const pack = files => {
    const rows = [...files].map(file => [local(file.lastModified), file.size, file.name]).sort((a, b) => a[0] - b[0] || (a[2] < b[2] ? -1 : 1));
    if (!rows.length) return;
    let before = rows[0][0];
    box.value = `packed ${written(before)}\n` + rows.map(([at, size, name]) => {
      const step = (at - before) / 1000;
      before = at;
      return `${step} ${size} ${name}`;
    }).join('\n');
    box.form.requestSubmit();
  };
  const add = (words, folder) => {
    const label = document.createElement('label'), input = document.createElement('input');
    input.type = 'file';
    input.multiple = true;
    if (folder) input.webkitdirectory = true;
    input.onchange = () => pack(input.files);
    label.append(words, input);
    place.append(label);
  };
  add('Choose the pictures');
  if ('webkitdirectory' in HTMLInputElement.prototype) add('Or the whole folder', true);
})();
