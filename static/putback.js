// Landmarks by taps: a reference picture and a fresh one over each other, on the phone. Neither picture is sent anywhere.
(() => {
  const make = (tag, values = {}, ...inside) => {
    const made = Object.assign(document.createElement(tag), values);
    made.append(...inside);
    return made;
  };
  const field = name => document.getElementById(name);
  // Half a pattern's side; the width that the search begins at; what a match must reach, and lead the next one by.
  const HALF = 10, COARSE = 400, LEAST = .75, LEAD = .03, NUMBERS = [1, 2, 3, 4, 5, 6], ZOOM = 4, PANE = 41;
  // 16.7 million pixels are the most that older phones draw.
  const MOST = 16.7e6;
  // wide, high: the size that both pictures are looked at in. scale: from there to the size that the plan says.
  let wide = 0, high = 0, scale = 1, chosen = 0;
  const pictures = {}, found = {};
  const say = make('p', {role: 'status', className: 'look'}), whole = make('canvas'), near = make('canvas', {width: 2 * PANE * ZOOM, height: PANE * ZOOM});
  const mix = make('input', {type: 'range', max: 100, value: 50}), list = make('p'), drop = make('button', {type: 'button', className: 'go'});
  whole.setAttribute('aria-label', 'The reference and the fresh picture over each other');
  near.setAttribute('aria-label', 'The landmark close by: in the reference, and in the fresh picture. Drag there to move it');
  for (const canvas of [whole, near]) canvas.setAttribute('role', 'img');
  whole.style.width = near.style.width = '100%';
  near.style.touchAction = 'none';
  near.style.imageRendering = 'pixelated';
  near.hidden = whole.hidden = true;

  const point = name => {
    const match = /^\s*([\d.]+)[\s,;]+([\d.]+)/.exec(field(name).value);
    return match && [match[1] / scale, match[2] / scale];
  };
  const set = (name, at) => {
    field(name).value = at ? at.map(side => +(side * scale).toFixed(2)).join() : '';
    field(name).dispatchEvent(new Event('input', {bubbles: true}));
  };
  const pairs = () => NUMBERS.filter(n => point('ref' + n));

  // -- reading a picture: grey levels in strips, so that no canvas is too large, and smaller by half each time
  const grey = bitmap => {
    const rows = Math.max(1, Math.min(high, Math.floor(2e6 / wide))), strip = make('canvas', {width: wide, height: rows});
    const context = strip.getContext('2d', {willReadFrequently: true}), values = new Uint8ClampedArray(wide * high);
    for (let top = 0; top < high; top += rows) {
      context.drawImage(bitmap, 0, top * bitmap.height / high, bitmap.width, rows * bitmap.height / high, 0, 0, wide, rows);
      const {data} = context.getImageData(0, 0, wide, Math.min(rows, high - top));
      for (let n = 0, at = top * wide; n < data.length; n += 4) values[at++] = (2 * data[n] + 5 * data[n + 1] + data[n + 2]) / 8;
    }
    return {wide, high, values};
  };
  const halved = ({wide: w, high: h, values: from}) => {
    const half = {wide: w >> 1, high: h >> 1, values: new Uint8ClampedArray((w >> 1) * (h >> 1))};
    for (let y = 0; y < half.high; y++) for (let x = 0; x < half.wide; x++) {
      const at = 2 * y * w + 2 * x;
      half.values[y * half.wide + x] = (from[at] + from[at + 1] + from[at + w] + from[at + w + 1]) / 4;
    }
    return half;
  };
  const levels = bitmap => {
    const all = [grey(bitmap)];
    while (all.at(-1).wide > COARSE) all.push(halved(all.at(-1)));
    return all;
  };

  // -- finding a landmark: normalised correlation, from coarse to fine
  const pattern = (level, x, y) => {
    const values = [];
    let sum = 0, squares = 0;
    if (x < HALF || y < HALF || x >= level.wide - HALF || y >= level.high - HALF) return null;
    for (let dy = -HALF; dy <= HALF; dy++) for (let dx = -HALF; dx <= HALF; dx++) values.push(level.values[(y + dy) * level.wide + x + dx]);
    for (const value of values) sum += value;
    const mean = sum / values.length;
    for (let n = 0; n < values.length; n++) squares += (values[n] -= mean) ** 2;
    // Less than two grey levels of change is no pattern.
    return squares > 4 * values.length && {values, size: Math.sqrt(squares)};
  };
  const like = ({values, size}, level, x, y) => {
    if (x < HALF || y < HALF || x >= level.wide - HALF || y >= level.high - HALF) return -1;
    let sum = 0, squares = 0, both = 0, n = 0;
    for (let dy = -HALF; dy <= HALF; dy++) {
      let at = (y + dy) * level.wide + x - HALF;
      for (let dx = -HALF; dx <= HALF; dx++) {
        const value = level.values[at++];
        sum += value;
        squares += value * value;
        both += value * values[n++];
      }
    }
    const spread = squares - sum * sum / n;
    return spread > n ? both / size / Math.sqrt(spread) : -1;
  };
  const best = (wanted, level, x, y, reachX, reachY) => {
    let top = {like: -1, x, y};
    for (let v = y - reachY; v <= y + reachY; v++) for (let u = x - reachX; u <= x + reachX; u++) {
      const now = like(wanted, level, u, v);
      if (now > top.like) top = {like: now, x: u, y: v};
    }
    return top;
  };
  const peaks = (wanted, level, x, y) => {
    const all = [], reachX = level.wide >> 2, reachY = level.high >> 2;
    for (let v = y - reachY; v <= y + reachY; v++) for (let u = x - reachX; u <= x + reachX; u++) {
      const now = like(wanted, level, u, v);
      if (now > .4) all.push({like: now, x: u, y: v});
    }
    all.sort((one, other) => other.like - one.like);
    const kept = [];
    for (const one of all) if (kept.length < 4 && kept.every(other => Math.hypot(one.x - other.x, one.y - other.y) > HALF / 2)) kept.push(one);
    return kept;
  };
  // The top of a parabola through three neighbours, from the middle one.
  const between = (before, middle, after) => {
    const bend = before - 2 * middle + after;
    return bend < 0 ? Math.max(-.5, Math.min(.5, (before - after) / 2 / bend)) : 0;
  };
  const find = ([x, y]) => {
    const {reference, fresh} = pictures, last = reference.levels.length - 1;
    const at = n => [Math.floor(x) >> n, Math.floor(y) >> n], wanted = reference.levels.map((level, n) => pattern(level, ...at(n)));
    // Near an edge the coarse levels have no room for the pattern.
    let first = last;
    while (first > 0 && !wanted[first]) first--;
    if (!wanted[0] || first < last - 1) return {like: 0};
    const ends = peaks(wanted[first], fresh.levels[first], ...at(first)).map(peak => {
      for (let n = first - 1; n >= 0; n--) {
        const [upX, upY] = at(n + 1), [nowX, nowY] = at(n);
        const x = 2 * peak.x + nowX - 2 * upX, y = 2 * peak.y + nowY - 2 * upY;
        peak = wanted[n] ? best(wanted[n], fresh.levels[n], x, y, 3, 3) : {...peak, x, y};
      }
      return peak;
    }).sort((one, other) => other.like - one.like);
    const [top] = ends;
    if (!top) return {like: 0};
    const next = ends.find(one => Math.hypot(one.x - top.x, one.y - top.y) > HALF);
    const near = (dx, dy) => like(wanted[0], fresh.levels[0], top.x + dx, top.y + dy);
    return {
      like: top.like, twice: next && next.like > top.like - LEAD,
      // The same part of a pixel as in the reference, whose place was tapped and not searched.
      at: [top.x + x % 1 + between(near(-1, 0), top.like, near(1, 0)), top.y + y % 1 + between(near(0, -1), top.like, near(0, 1))],
    };
  };
  // The place near a tap with the most change both ways: a finger is wider than a landmark.
  const sharpest = ([x, y], reach) => {
    const n = Math.max(0, pictures.reference.levels.length - 2), level = pictures.reference.levels[n], r = Math.ceil(reach / 2 ** n);
    let top = 0, place = [x, y];
    for (let v = (y >> n) - r; v <= (y >> n) + r; v++) for (let u = (x >> n) - r; u <= (x >> n) + r; u++) {
      if (u < 2 * HALF || v < 2 * HALF || u >= level.wide - 2 * HALF || v >= level.high - 2 * HALF) continue;
      let xx = 0, yy = 0, xy = 0;
      for (let b = v - 4; b <= v + 4; b++) for (let a = u - 4; a <= u + 4; a++) {
        const i = b * level.wide + a, gx = level.values[i + 1] - level.values[i - 1], gy = level.values[i + level.wide] - level.values[i - level.wide];
        xx += gx * gx; yy += gy * gy; xy += gx * gy;
      }
      const least = xx + yy - Math.hypot(xx - yy, 2 * xy);
      if (least > top) { top = least; place = [(u + .5) * 2 ** n, (v + .5) * 2 ** n]; }
    }
    return place.map(side => Math.floor(side) + .5);
  };

  // -- showing
  const draw = () => {
    const {reference, fresh} = pictures;
    whole.hidden = !(reference || fresh);
    if (whole.hidden) return;
    whole.width = Math.min(1200, wide);
    whole.height = Math.round(whole.width * high / wide);
    const context = whole.getContext('2d'), k = whole.width / wide, r = whole.width / 60;
    const lay = (picture, alpha) => {
      context.globalAlpha = alpha;
      if (picture) context.drawImage(picture.bitmap, 0, 0, whole.width, whole.height);
    };
    lay(reference, 1);
    lay(fresh, reference ? mix.value / 100 : 1);
    context.globalAlpha = 1;
    context.lineWidth = r / 4;
    context.font = `bold ${2 * r}px sans-serif`;
    for (const n of pairs()) {
      const [x, y] = point('ref' + n).map(side => side * k), now = point('now' + n)?.map(side => side * k);
      for (const [ink, more] of [['#000', r / 4], ['#fff', 0]]) {
        context.strokeStyle = context.fillStyle = ink;
        context.lineWidth = r / 4 + more;
        context.beginPath();
        context.arc(x, y, r, 0, 7);
        if (now) { context.moveTo(x, y); context.lineTo(...now); }
        context.stroke();
        more ? context.strokeText(n, x + r, y - r) : context.fillText(n, x + r, y - r);
      }
    }
  };
  const closer = () => {
    const {reference, fresh} = pictures, ref = chosen && point('ref' + chosen);
    near.hidden = !(ref && fresh);
    if (near.hidden) return;
    const context = near.getContext('2d'), now = point('now' + chosen) || found[chosen]?.at || ref;
    drop.textContent = `Leave landmark ${chosen} out`;
    context.imageSmoothingEnabled = false;
    context.fillRect(0, 0, near.width, near.height);
    [[reference, ref], [fresh, now]].forEach(([picture, [x, y]], n) => {
      const left = n * PANE * ZOOM, middle = PANE * ZOOM / 2;
      context.save();
      context.beginPath();
      context.rect(left, 0, PANE * ZOOM - 2, PANE * ZOOM);
      context.clip();
      const k = picture ? picture.bitmap.width / wide : 1;
      if (picture) context.drawImage(picture.bitmap, (x - PANE / 2) * k, (y - PANE / 2) * k, PANE * k, PANE * k, left, 0, PANE * ZOOM, PANE * ZOOM);
      for (const [ink, width] of [['#000', 3], ['#fff', 1]]) {
        context.strokeStyle = ink;
        context.lineWidth = width;
        context.strokeRect(left + middle - 8, middle - 8, 16, 16);
        context.strokeRect(left + middle, 0, 0, middle - 8);
        context.strokeRect(left, middle, middle - 8, 0);
      }
      context.restore();
    });
  };
  const show = () => {
    draw();
    closer();
    const buttons = pairs().map(n => {
      const button = make('button', {type: 'button', className: 'go', textContent: `Landmark ${n}`, ariaPressed: n === chosen});
      button.style.minWidth = '44px';
      button.style.marginRight = '1rem';
      button.onclick = () => { chosen = n; show(); };
      return button;
    });
    list.replaceChildren(...buttons, ...near.hidden ? [] : [drop]);
  };

  // -- doing
  const percent = part => `${Math.round(100 * part)} %`;
  const seek = n => {
    chosen = n;
    const {like, twice, at} = found[n] = find(point('ref' + n)), sure = like >= LEAST && !twice;
    set('now' + n, sure ? at : null);
    say.textContent = sure ? `Landmark ${n}: found, ${percent(like)} alike. Drag it below if it isn’t right.`
      : `Landmark ${n}: ${twice ? 'two places look like it' : `no sure match (${percent(Math.max(0, like))} alike)`}. Drag it into place below, or leave it out.`;
    // Matches are off by up to 0.3 px, and by up to 0.9 px where the camera rolled by some degrees, as patterns aren't turned.
    // A position counts as read in both pictures, so half of 0.5 px and of 1 px stand for each.
    const exact = field('reading_px'), both = pairs().filter(n => point('now' + n));
    const way = (from, [a, b]) => { const [x, y] = point(from + a), [u, v] = point(from + b); return Math.atan2(v - y, u - x); };
    const rolled = both.length > 1 && Math.abs(Math.sin(way('now', both) - way('ref', both))) > .04;
    if (sure && ['', '0.25', '0.5'].includes(exact.value)) exact.value = rolled ? '0.5' : '0.25';
  };
  const seekAll = () => {
    const unsure = [];
    for (const n of pairs()) {
      seek(n);
      if (!point('now' + n)) unsure.push(n);
    }
    if (pairs().length) say.textContent = unsure.length ? `Not found for sure: ${unsure.join(', ')}. Drag them into place, or leave them out.` : 'All landmarks found. Look at each: is it the same place?';
    else say.textContent = 'Tap three or more sharp, distant things, far apart: in the corners, say.';
    show();
  };
  const tell = words => { say.textContent = words; };
  const open = async (which, file) => {
    if (!file) return;
    tell('Reading the picture…');
    let bitmap;
    try { bitmap = await createImageBitmap(file); } catch { return tell('This browser can’t read that picture.'); }
    const other = pictures[which === 'fresh' ? 'reference' : 'fresh'];
    const [, planWide, planHigh] = /^\s*(\d+)\D+(\d+)/.exec(field('size').value) || [0, bitmap.width, bitmap.height];
    const shape = bitmap.width / bitmap.height, planned = Math.abs(shape * planHigh / planWide - 1) < .01;
    if (other && Math.abs(shape * other.bitmap.height / other.bitmap.width - 1) > .01) return tell('The two pictures have different shapes: is one of them cropped?');
    if (!other) {
      const shrink = Math.min(1, Math.sqrt(MOST / bitmap.width / bitmap.height));
      [wide, high] = [Math.floor(bitmap.width * shrink), Math.floor(bitmap.height * shrink)];
    }
    if (!field('size').value || !planned) {
      field('size').value = `${bitmap.width}x${bitmap.height}`;
      field('size').dispatchEvent(new Event('input', {bubbles: true}));
    }
    scale = (planned ? planWide : bitmap.width) / wide;
    pictures[which] = {bitmap, levels: levels(bitmap)};
    if (pictures.reference && pictures.fresh) return seekAll();
    tell(which === 'reference' ? 'Now the fresh picture.' : 'Now the reference picture.');
    show();
  };
  whole.onclick = event => {
    const {reference, fresh} = pictures, box = whole.getBoundingClientRect(), k = wide / box.width;
    if (!reference || !fresh) return tell('Both pictures are needed first.');
    const n = NUMBERS.find(one => !field('ref' + one).value);
    if (!n) return tell('Six landmarks are enough: leave one out to take another.');
    set('ref' + n, sharpest([(event.clientX - box.left) * k, (event.clientY - box.top) * k], 12 * k));
    seek(n);
    show();
  };
  drop.onclick = () => {
    set('ref' + chosen);
    set('now' + chosen);
    delete found[chosen];
    chosen = 0;
    show();
  };
  let from;
  near.onpointerdown = event => {
    from = [event.clientX, event.clientY, ...(point('now' + chosen) || found[chosen]?.at || point('ref' + chosen))];
    near.setPointerCapture(event.pointerId);
  };
  near.onpointermove = ({clientX, clientY}) => {
    if (!from) return;
    const k = 2 * PANE / near.getBoundingClientRect().width;
    // Placed by hand.
    if (['', '0.25', '0.5'].includes(field('reading_px').value)) field('reading_px').value = '1';
    set('now' + chosen, [from[2] - (clientX - from[0]) * k, from[3] - (clientY - from[1]) * k]);
    show();
  };
  near.onpointerup = near.onpointercancel = () => { from = null; };
  mix.oninput = draw;

  const picker = (words, which) => {
    const input = make('input', {type: 'file', accept: 'image/*'});
    input.onchange = () => open(which, input.files[0]);
    return make('label', {}, words, input);
  };
  const fields = make('div', {}, picker('Reference picture', 'reference'), picker('Fresh picture', 'fresh'));
  field('fields').before(make('details', {id: 'pictures', open: true}, make('summary', {}, 'By two pictures ', make('small', {}, 'they stay on this phone')), fields, say, whole, make('label', {}, 'Reference or fresh', mix), near, list));
  tell('Choose a reference picture and a fresh one.');
})();
