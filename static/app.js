// A box to copy from selects itself; the other scripts come when the page stands, so that they don't hold up the first load.
(() => {
  const {later = ''} = document.currentScript.dataset;
  document.addEventListener('focusin', event => { if (event.target.readOnly) event.target.select(); });
  addEventListener('load', () => later.split(' ').forEach(src => src && document.head.append(Object.assign(document.createElement('script'), {src, async: false}))));
})();
