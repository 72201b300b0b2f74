// Ticks stay on this phone, for the plan they were made on.
(() => {
  const sheet = document.getElementById('sheet'), boxes = () => [...sheet.querySelectorAll('input')];
  const key = () => 'ticks ' + sheet.firstChild.dataset.plan;
  const show = () => {
    try {
      const kept = localStorage[key()] || '';
      boxes().forEach((box, n) => box.checked = kept[n] > 0);
    } catch { /* A browser that keeps nothing. */ }
  };
  sheet.onchange = () => {
    try { localStorage[key()] = boxes().map(box => +box.checked).join(''); } catch { /* The same. */ }
  };
  new MutationObserver(show).observe(sheet, {childList: true});
  show();
})();
