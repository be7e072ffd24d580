// Unpacks the chart engine and the pages' own script, which a page in one file holds as
// gzip in base64. Where a browser cannot, the page says that its charts are missing.
(async () => {
'use strict';
const doc = document;
try {
  const packed = Uint8Array.from(atob(doc.getElementById('packed').textContent), c => c.charCodeAt(0));
  const text = await new Response(new Blob([packed]).stream().pipeThrough(new DecompressionStream('gzip'))).text();
  doc.head.append(Object.assign(doc.createElement('script'), { textContent: text }));
} catch {
  doc.querySelectorAll('.missing').forEach(p => { p.hidden = false; });
}
})();
