// Ticks stay on this phone for the plan they were made on; while the sheet is open they go along with its changes.
(() => {
  const sheet = document.getElementById('sheet'), boxes = () => [...sheet.querySelectorAll('[type=checkbox]')];
  const key = () => 'ticks ' + sheet.firstElementChild.dataset.plan, item = box => box.parentNode.textContent;
  let ticked = [];
  const show = () => boxes().forEach(box => box.checked = ticked.includes(item(box)));
  const keep = () => {
    try { localStorage[key()] = JSON.stringify(ticked); } catch { /* A browser that keeps nothing. */ }
  };
  sheet.onchange = () => {
    ticked = boxes().filter(box => box.checked).map(item);
    keep();
  };
  new MutationObserver(() => {
    show();
    if (ticked.length) keep();
  }).observe(sheet, {childList: true});
  try {
    ticked = JSON.parse(localStorage[key()]).filter(each => each.length);
  } catch { /* Nothing kept. */ }
  show();
})();
