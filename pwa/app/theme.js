// A classic script in the head: the chosen theme stands before the first paint.
(() => {
  try {
    const theme = JSON.parse(localStorage.getItem('coiltrail.settings') || '{}').theme;
    if (theme === 'light' || theme === 'dark') document.documentElement.dataset.theme = theme;
  } catch {
    // Without storage the system's theme is as good as any.
  }
})();
