// Values from pictures, read on the phone: sizes, lens, exposure, time. No picture is sent anywhere.
(() => {
  const make = (tag, values = {}, ...inside) => {
    const made = Object.assign(document.createElement(tag), values);
    made.append(...inside);
    return made;
  };
  const field = name => document.getElementById(name), says = make('div', {role: 'status'});
  const MB = 1e6, two = value => String(value).padStart(2, '0');

  // What a JPEG tells of itself: its size, and its Exif data (CIPA DC-008, JEITA CP-3451), tags by their numbers.
  const read = async file => {
    const view = new DataView(await file.slice(0, 3e5).arrayBuffer()), found = {bytes: file.size};
    if (view.byteLength < 4 || view.getUint16(0) !== 0xffd8) return null;
    try {
      for (let at = 2; view.getUint8(at) === 0xff;) {
        const marker = view.getUint8(at + 1), length = view.getUint16(at + 2);
        if (marker === 0xe1 && view.getUint32(at + 4) === 0x45786966) tags(view, at + 10, found);
        // Start of frame, but for the three of this range that are something else.
        if (marker >= 0xc0 && marker <= 0xcf && ![0xc4, 0xc8, 0xcc].includes(marker)) {
          [found.high, found.wide] = [view.getUint16(at + 5), view.getUint16(at + 7)];
          break;
        }
        at += 2 + length;
      }
    } catch { /* cut off: what was found so far stands */ }
    return found;
  };
  const tags = (view, start, found) => {
    const little = view.getUint16(start) === 0x4949, short = at => view.getUint16(at, little), long = at => view.getUint32(at, little);
    const ratio = at => [long(at), long(at + 4)];
    const directory = at => {
      for (let n = short(at), entry = at + 2; n > 0; n--, entry += 12) {
        const tag = short(entry), kind = short(entry + 2), count = long(entry + 4), value = entry + 8, there = start + long(value);
        const number = kind === 3 ? short(value) : long(value);
        if (tag === 0x0112) found.turned = number > 4;
        if (tag === 0x8769) { found.exif = true; directory(start + number); }
        if (tag === 0x829a) found.exposure = ratio(there);
        if (tag === 0x829d) found.aperture = ratio(there);
        if (tag === 0x920a) found.focal = ratio(there);
        if (tag === 0xa405) found.equivalent = number;
        if (tag === 0xa002) found.taken_wide = number;
        if (tag === 0x9003) found.time = Array.from({length: Math.min(count, 19)}, (_, n) => String.fromCharCode(view.getUint8(there + n))).join('');
      }
    };
    directory(start + long(start + 4));
  };

  let lines;
  const put = (name, value, words) => {
    if (!field(name) || !value) return;
    field(name).value = value;
    field(name).dispatchEvent(new Event('input', {bubbles: true}));
    lines.push(words);
  };
  const quotient = ([up, down]) => down ? +(up / down).toFixed(2) : 0;
  const seconds = ([up, down]) => up && down ? up < down && down % up === 0 ? `1/${down / up}` : up < down ? `1/${+(down / up).toFixed(1)}` : `${+(up / down).toFixed(3)}s` : '';
  const same = (pictures, name) => pictures.every(one => String(one[name]) === String(pictures[0][name])) && pictures[0][name];

  const sizes = pictures => {
    const days = new Map();
    for (const {bytes, time = ''} of pictures) {
      const day = time.slice(0, 10), [sum, count] = days.get(day) || [0, 0];
      days.set(day, [sum + bytes, count + 1]);
    }
    // Up, so that a card isn't told to hold more than it does.
    const up = bytes => (Math.ceil(bytes / 1000) * 1000 / MB).toFixed(3), means = [...days.values()].map(([sum, count]) => sum / count);
    const mean = up(means.reduce((sum, one) => sum + one) / means.length), most = up(Math.max(...means));
    put('frame_mb', mean, `frame ${mean} MB`);
    if (means.length > 1) put('frame_mb_max', most, `on the largest of ${means.length} days ${most} MB`);
  };
  const clock = ({time}) => {
    const [, ...parts] = /^(\d+):(\d+):(\d+) (\d+):(\d+):(\d+)/.exec(time || '') || [], [hours, minutes, seconds] = parts.slice(3).map(Number);
    if (!field('found_clock') || !parts.length) return;
    const shown = make('input', {placeholder: `${two(hours)}:${two(minutes)}:${two(seconds)}`, inputMode: 'numeric', autocomplete: 'off'});
    shown.onchange = () => {
      const [, h, m, s = 0] = /^(\d{1,2})[:.](\d{2})(?:[:.](\d{2}))?$/.exec(shown.value.trim()) || [];
      if (h === undefined || h > 23 || m > 59 || s > 59) return says.append(make('p', {className: 'look', textContent: 'Type the time as the frame shows it, like 14:03:20.'}));
      const fast = (hours - h) * 3600 + (minutes - m) * 60 + seconds - s, half = 43200;
      lines = [];
      put('found_clock', String((fast + 3 * half) % (2 * half) - half), `clock fast by ${(fast + 3 * half) % (2 * half) - half} s`);
      says.append(make('p', {textContent: `Filled in: ${lines.join()}.`}));
    };
    says.append(make('label', {}, 'Does it show a phone’s clock? Its time there ', shown));
  };
  const take = async files => {
    says.textContent = 'Reading…';
    lines = [];
    const all = (await Promise.all([...files].map(read))).filter(one => one && one.wide), look = [];
    if (!all.length) return says.replaceChildren(make('p', {className: 'look', textContent: 'No JPEG of a camera among them: nothing was taken.'}));
    if (all.length < files.length) look.push(`${files.length - all.length} of ${files.length} are no JPEG and were left out.`);
    for (const one of all) one.size = one.turned ? `${one.high}x${one.wide}` : `${one.wide}x${one.high}`;
    const size = same(all, 'size'), planned = field('size')?.value.trim().replace(/\s*[×X*]\s*/, 'x');
    // Whatever was sent on and packed again has lost its camera's data, or its size, and its bytes tell nothing.
    const whole = all.every(one => one.exif && (!one.taken_wide || one.taken_wide === one.wide));
    if (!whole) look.push('Packed again by whatever sent it, or cut: its bytes and size aren’t the camera’s. Take the file from the card.');
    else if (!size) look.push('They have different sizes in pixels: take frames of one setting.');
    else if (planned && planned !== size) look.push(`It is ${size} px, the plan says ${planned}: is it a frame of this camera at this setting? Empty the size to take its own.`);
    else {
      put('size', size, `size ${size} px`);
      sizes(all);
    }
    const focal = same(all, 'focal'), equivalent = same(all, 'equivalent'), aperture = same(all, 'aperture'), exposure = same(all, 'exposure');
    if (focal) put('focal_mm', quotient(focal), `focal length ${quotient(focal)} mm`);
    if (equivalent) put('focal_eq_mm', equivalent, `35 mm equivalent ${equivalent} mm`);
    if (aperture) put('aperture', quotient(aperture), `f/${quotient(aperture)}`);
    if (exposure) put('shutter', seconds(exposure), `exposure ${seconds(exposure)}`);
    if (field('hfov')?.value && (focal || equivalent)) look.push('The typed angle of view goes before the lens.');
    const taken = all.map(one => one.time).filter(Boolean).sort();
    says.replaceChildren(make('p', {textContent: lines.length ? `Filled in: ${lines.join(', ')}.` : 'Nothing to fill in here.'}), ...look.map(textContent => make('p', {className: 'look', textContent})));
    if (taken.length) says.append(make('p', {textContent: `Taken by the camera’s clock: ${[...new Set([taken[0], taken.at(-1)])].map(one => one.replace(':', '-').replace(':', '-')).join(' to ')}.`}));
    if (all.length === 1) clock(all[0]);
  };
  const input = make('input', {type: 'file', accept: 'image/jpeg', multiple: true});
  input.onchange = () => input.files.length && take(input.files);
  field('fields').before(make('details', {id: 'exif'}, make('summary', {}, 'Take values from a picture ', make('small', {}, 'read on this phone')), make('label', {}, 'Test frames', input), says));
})();
