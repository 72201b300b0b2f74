// An invented scene, far away: smooth noise over directions, as a camera sees it. Returns a PNG as a data address.
// pose: bearing, tilt, roll in degrees; light: contrast and brightness of the day.
({wide, high, hfov, pose: [bearing, tilt, roll], light: [contrast, bright]}) => {
  const rad = degrees => degrees * Math.PI / 180, [b, t, r] = [bearing, tilt, roll].map(rad), {sin, cos} = Math;
  const ahead = [sin(b) * cos(t), cos(b) * cos(t), sin(t)], right = [cos(b), -sin(b), 0], down = [sin(b) * sin(t), cos(b) * sin(t), -cos(t)];
  const across = right.map((side, n) => cos(r) * side + sin(r) * down[n]), along = down.map((side, n) => cos(r) * side - sin(r) * right[n]);
  const hash = (x, y, seed) => { const h = sin(x * 127.1 + y * 311.7 + seed * 74.7) * 43758.5453; return h - Math.floor(h); };
  const noise = (x, y, seed) => {
    const i = Math.floor(x), j = Math.floor(y), u = x - i, v = y - j, s = u * u * (3 - 2 * u), w = v * v * (3 - 2 * v);
    const top = hash(i, j, seed) * (1 - s) + hash(i + 1, j, seed) * s, low = hash(i, j + 1, seed) * (1 - s) + hash(i + 1, j + 1, seed) * s;
    return top * (1 - w) + low * w;
  };
  const focal = wide / 2 / Math.tan(rad(hfov / 2)), canvas = Object.assign(document.createElement('canvas'), {width: wide, height: high});
  const context = canvas.getContext('2d'), image = context.createImageData(wide, high);
  for (let y = 0, n = 0; y < high; y++) for (let x = 0; x < wide; x++, n += 4) {
    const px = x + .5 - wide / 2, py = y + .5 - high / 2, ray = ahead.map((side, m) => side * focal + across[m] * px + along[m] * py);
    const east = ray[0] / ray[1], up = ray[2] / ray[1];
    const value = .4 * noise(east * 12, up * 12, 1) + .35 * noise(east * 45, up * 45, 2) + .25 * noise(east * 150, up * 150, 3);
    image.data[n] = image.data[n + 1] = image.data[n + 2] = bright + contrast * 255 * value;
    image.data[n + 3] = 255;
  }
  context.putImageData(image, 0, 0);
  return canvas.toDataURL('image/png');
}
