// What is wrong with how the page lies: one line each, and where every text stands.
// A word for screen readers is a pixel large or clipped away, whatever its letters measure; the way past the head is off the screen.
const forEars = e => { for (; e; e = e.parentElement) if (e.matches('.skip') || getComputedStyle(e).clipPath !== 'none') return true; return false };
const shown = e => e.checkVisibility({ opacityProperty: true, visibilityProperty: true }) && !forEars(e);
const name = e => `${e.tagName.toLowerCase()}${e.className?.baseVal ?? (e.className ? '.' + e.className : '')}`.slice(0, 40);
const said = t => t.trim().replace(/\s+/g, ' ').slice(0, 32);
const root = document.documentElement;

function look() {
const wrong = [];
scrollTo(0, 0);
if (root.scrollWidth > root.clientWidth + 1) wrong.push(`the page is ${root.scrollWidth - root.clientWidth} px wider than the screen`);

// Cut off: a box that hides what does not fit in it. Boxes of a pixel are words for screen readers.
for (const e of document.querySelectorAll('body *')) {
    if (!shown(e) || e.clientWidth <= 1 || e.clientHeight <= 1 || e.closest('svg')) continue;
    const style = getComputedStyle(e);
    const hides = axis => ['hidden', 'clip'].includes(style[`overflow${axis}`]);
    if (hides('X') && e.scrollWidth > e.clientWidth + 1) wrong.push(`${name(e)} cuts “${said(e.textContent)}” by ${e.scrollWidth - e.clientWidth} px`);
    if (hides('Y') && e.scrollHeight > e.clientHeight + 1) wrong.push(`${name(e)} cuts “${said(e.textContent)}” below`);
    if (e.matches('input') && e.scrollWidth > e.clientWidth + 1 && e.value) wrong.push(`${name(e)} cuts its value “${e.value}”`);
    if (e.matches('input') && e.placeholder && !e.value) {
        const pen = new OffscreenCanvas(1, 1).getContext('2d');
        pen.font = style.font;
        const room = e.clientWidth - parseFloat(style.paddingLeft) - parseFloat(style.paddingRight);
        if (pen.measureText(e.placeholder).width > room + 1) wrong.push(`${name(e)} cuts its example “${e.placeholder}”`);
    }
}

// Words in a picture that reach beyond it.
for (const text of document.querySelectorAll('svg text')) {
    if (!shown(text) || !text.textContent.trim()) continue;
    const box = text.getBoundingClientRect(), frame = text.closest('svg').getBoundingClientRect();
    const over = Math.max(frame.left - box.left, box.right - frame.right, frame.top - box.top, box.bottom - frame.bottom);
    if (text.textContent.endsWith('…')) wrong.push(`the picture shortens “${text.textContent}”`);
    if (over > 1.5) wrong.push(`the picture cuts “${said(text.textContent)}” by ${over.toFixed(0)} px`);
}

// Words on words. What is fixed to the screen lies over the rest on purpose; there it is scrolled out from under.
const fixed = e => { for (; e; e = e.parentElement) if (['fixed', 'sticky'].includes(getComputedStyle(e).position)) return e; return null };
const words = [], walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
for (let node; node = walk.nextNode();) {
    const parent = node.parentElement;
    if (!node.textContent.trim() || !parent || parent.closest('script, style, option, title, noscript, template') || !shown(parent)) continue;
    const range = document.createRange();
    range.selectNodeContents(node);
    const over = fixed(parent);
    for (const box of range.getClientRects()) {
        if (box.width < 2 || box.height < 2) continue;
        // Letters are lower than their line; only the middle of it counts.
        words.push({ text: said(node.textContent), parent, over, l: box.left + 1, r: box.right - 1, t: box.top + box.height * 0.22, b: box.bottom - box.height * 0.22 });
    }
}
words.sort((a, b) => a.t - b.t);
for (let i = 0; i < words.length; i++)
    for (let k = i + 1; k < words.length && words[k].t < words[i].b; k++) {
        const a = words[i], b = words[k];
        if (a.over !== b.over || a.parent.tagName === 'TEXT' && b.parent === a.parent) continue;
        if (Math.min(a.r, b.r) - Math.max(a.l, b.l) > 1.5 && Math.min(a.b, b.b) - Math.max(a.t, b.t) > 1.5) wrong.push(`“${a.text}” lies on “${b.text}”`);
    }

// Beyond the edge of the screen.
for (const w of words) if (!w.over && (w.l < -1 || w.r > root.clientWidth + 2)) {
    let scrolls = false;
    for (let e = w.parent; e && !scrolls; e = e.parentElement) scrolls = ['auto', 'scroll'].includes(getComputedStyle(e).overflowX);
    if (!scrolls) wrong.push(`“${w.text}” stands beyond the edge`);
}

// What takes a press must be what is pressed, once it is scrolled to; what is fixed to the screen leaves room to scroll it to.
function covered(e, block) {
    e.scrollIntoView({ block, inline: 'nearest', behavior: 'instant' });
    const box = e.getClientRects()[0];
    if (!box || box.width < 2) return null;
    const hit = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
    return hit && !e.contains(hit) && !hit.contains(e) && !e.labels?.length && !hit.closest('label')?.contains(e) ? hit : null;
}
for (const e of document.querySelectorAll('a[href], button, input:not([type=hidden]), select, textarea, summary')) {
    if (!shown(e) || e.disabled) continue;
    const over = ['center', 'start'].map(block => covered(e, block));
    if (over.every(hit => hit)) wrong.push(`${name(e)} “${said(e.textContent || e.name || '')}” lies under ${name(over[0])}`);
}
scrollTo(0, 0);
return { wrong, lies: words.map(w => `“${w.text}” at ${Math.round(w.l)} to ${Math.round(w.r)}`).sort() };
}

// Both themes at the same moment: what moves between them was moved by the theme.
const was = root.dataset.theme;
root.dataset.theme = 'dark';
const dark = look();
root.dataset.theme = 'white';
const white = look();
root.dataset.theme = was;
const moved = white.lies.filter((lie, i) => lie !== dark.lies[i]).slice(0, 3).map(lie => `only in white: ${lie}`);
return [...new Set([...dark.wrong, ...white.wrong, ...moved])];
