// Keeps the shell and the pages seen last, so that a reload without a connection still shows the job.
const SHELL = ['STYLE_ADDRESS', 'SCRIPT_ADDRESS', '/static/icon.svg', '/manifest.webmanifest'];
const NAME = `shell ${SHELL[0]} ${SHELL[1]}`, PAGES = 'pages';
addEventListener('install', e => e.waitUntil(caches.open(NAME).then(c => c.addAll(SHELL)).then(() => skipWaiting())));
addEventListener('activate', e => e.waitUntil(
  caches.keys().then(all => Promise.all(all.filter(k => k !== NAME && k !== PAGES).map(k => caches.delete(k)))).then(() => clients.claim())));
async function fresh(request) {
  try {
    const response = await fetch(request);
    if (response.ok) { const c = await caches.open(PAGES); await c.put(request.url, response.clone()); }
    return response;
  } catch (problem) {
    const old = await (await caches.open(PAGES)).match(request.url);
    if (old) return old;
    throw problem;
  }
}
addEventListener('fetch', e => {
  if (e.request.method !== 'GET') return;
  if (e.request.mode === 'navigate') e.respondWith(fresh(e.request));
  else if (SHELL.some(s => e.request.url.endsWith(s))) e.respondWith(caches.match(e.request).then(hit => hit ?? fetch(e.request)));
});
