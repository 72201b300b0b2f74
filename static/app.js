// A box to copy from selects itself; refresh.js comes when the page stands, so that it doesn't hold up the first load.
(() => {
  const {refresh} = document.currentScript.dataset;
  document.addEventListener('focusin', event => { if (event.target.readOnly) event.target.select(); });
  if (refresh) addEventListener('load', () => document.head.append(Object.assign(document.createElement('script'), {src: refresh})));
})();
