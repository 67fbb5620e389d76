// Keeps the shell, the pages seen last and the jobs on the floor, so that a reload without a connection still shows the job.
const SHELL = ['STYLE_ADDRESS', 'SCRIPT_ADDRESS', 'ALBUM_ADDRESS', '/static/icon.svg', '/static/icon-192.png', '/manifest.webmanifest', '/offline'];
const NAME = `shell ${SHELL[0]} ${SHELL[1]}`, PAGES = 'pages', MOST = 80;
addEventListener('install', e => e.waitUntil(caches.open(NAME).then(c => c.addAll(SHELL)).then(() => skipWaiting())));
addEventListener('activate', e => e.waitUntil(
  caches.keys().then(all => Promise.all(all.filter(k => k !== NAME && k !== PAGES).map(k => caches.delete(k)))).then(() => clients.claim())));
const keptAt = response => Number(response?.headers.get('x-kept-at') ?? 0);
const open = () => caches.open(PAGES);
// With the moment it was kept, by this device's own clock.
async function store(address, response) {
  const headers = new Headers(response.headers), html = await response.text(), pages = await open();
  for (const gone of ['content-encoding', 'content-length', 'set-cookie']) headers.delete(gone);
  headers.set('x-kept-at', Date.now());
  await pages.put(address, new Response(html, { headers }));
  const keys = await pages.keys();
  if (keys.length > MOST) await pages.delete(keys[0]);
  return html;
}
// Every open job on the floor can be opened later without a connection.
async function ahead(html) {
  for (const [, path] of html.matchAll(/<li class="job [^"]*"><a href="([^"]+)"/g)) {
    const job = path.replace(/\/prepare$/, '');
    for (const address of [job, `${job}/prepare`, `${job}/outcome`, `${job}/photo`]) {
      const response = await fetch(address).catch(() => null);
      if (response?.ok) await store(new URL(address, location.origin).href, response);
    }
  }
}
async function fresh(e) {
  const request = e.request, address = request.url.split('#')[0];
  try {
    const response = await fetch(request, { signal: AbortSignal.timeout?.(10000) });
    if (response.ok && (response.headers.get('content-type') ?? '').startsWith('text/html')) {
      const kept = store(address, response.clone());
      e.waitUntil(kept.then(html => new URL(address).pathname === '/' && ahead(html)).catch(() => {}));
    }
    return response;
  } catch { return old(address); }
}
// The page as it was kept, with the newer part that came since, marked with its age.
async function old(address) {
  const pages = await open(), page = await pages.match(address);
  if (!page) return new Response(await (await caches.match('/offline')).text(), { status: 503, headers: { 'content-type': 'text/html; charset=utf-8' } });
  const part = await pages.match(`${new URL(address).pathname}/fragment`);
  let html = await page.text(), at = keptAt(page);
  if (keptAt(part) > at) {
    const newer = await part.text();
    html = html.replace(/<!--part-->[^]*<!--\/part-->/, () => `<!--part-->${newer}<!--/part-->`);
    at = keptAt(part);
  }
  return new Response(html.replace('<html ', `<html data-kept="${at}" `), { headers: page.headers });
}
addEventListener('fetch', e => {
  if (e.request.method !== 'GET') return;
  if (e.request.mode === 'navigate') { if (!/\.pdf$|\.csv$|\.txt$/.test(new URL(e.request.url).pathname)) e.respondWith(fresh(e)); }
  else if (SHELL.some(s => e.request.url.endsWith(s))) e.respondWith(caches.match(e.request).then(hit => hit ?? fetch(e.request)));
});
