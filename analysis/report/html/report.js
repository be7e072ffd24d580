// The pages' own script: draws the charts from their JSON, and makes tables
// sortable, filterable and foldable. It asks nothing of any network.
(() => {
'use strict';
const root = document.documentElement, data = root.dataset;
const engine = window.echarts;
const set = Object.assign;
const one = (query, from = document) => from.querySelector(query);
const all = (query, from = document) => [...from.querySelectorAll(query)];
const on = (target, event, act) => target.addEventListener(event, act);
const id = name => document.getElementById(name);
const style = name => getComputedStyle(root).getPropertyValue(name).trim();

// ---- what a reader chose: kept where files have storage ----
const recall = name => { try { return localStorage['rimelog ' + name] || ''; } catch { return ''; } };
const keep = (name, value) => { try { localStorage['rimelog ' + name] = value; } catch {} };
const night = matchMedia('(prefers-color-scheme: dark)');
const dark = () => data.theme ? data.theme === 'dark' : night.matches;
if (recall('theme')) data.theme = recall('theme');

// ---- charts ----
const element = (tag, text, cls) => set(document.createElement(tag), { textContent: text, className: cls || '' });
const figure = v => v.toLocaleString(root.lang, { useGrouping: false, maximumFractionDigits: 6 }).replace('-', '\u2212');
const fill = (text, parts) => text.replace(/{(\w+)}/g, (_, name) => parts[name]);
const clock = ms => new Date(ms).toISOString().replace('T', ' ').slice(0, 19);

// Each function gets the series it belongs to and returns what the engine calls.
const functions = {
  band: series => (params, api) => {
    const v = series.data[params.dataIndex].value, up = [], down = [];
    for (let i = 0; i < v.length; i += 3) {
      down.unshift(api.coord([v[i], v[i + 1]]));
      up.push(api.coord([v[i], v[i + 2]]));
    }
    return { type: 'polygon', shape: { points: [...up, ...down] }, style: { fill: series.itemStyle.color } };
  },
  whisker: series => (params, api) => {
    const [t, lo, hi] = series.data[params.dataIndex].value;
    const [x, a] = api.coord([t, lo]), b = api.coord([t, hi])[1], stroke = { stroke: series.itemStyle.color, lineWidth: 1.25 };
    const bar = (x1, y1, x2, y2) => ({ type: 'line', shape: { x1, y1, x2, y2 }, style: stroke });
    return { type: 'group', children: [bar(x, a, x, b), bar(x - 4, a, x + 4, a), bar(x - 4, b, x + 4, b)] };
  },
};

const resolve = o => {
  if (Array.isArray(o)) return o.map(resolve);
  if (o && typeof o === 'object') return Object.fromEntries(Object.entries(o).map(([k, v]) => [k, resolve(v)]));
  return typeof o === 'string' && o.startsWith('$css:') ? style(o.slice(5)) : o;
};

// What is shown of the charts that zoom together, by their group.
const zooms = {};
const group = plot => plot.dataset.group || plot.id;
const common = id('common');

const options = (json, plot) => {
  const o = resolve(json);
  for (const s of o.series) {
    if (s.renderItem) s.renderItem = functions[s.renderItem.slice(4)](s);
  }
  if (common?.checked && o.oneScale) set(o.yAxis[0], o.oneScale);
  delete o.oneScale;
  if (o.dataZoom) {
    // Where a slider has no room, a chart still follows those it zooms with.
    const show = plot.clientWidth >= 560 && !data.print;
    set(o.dataZoom[0], zooms[group(plot)], { show });
    if (!show) o.grid[0].bottom = 34;
  }
  for (const a of [...o.xAxis, ...o.yAxis]) if (/value|log/.test(a.type)) a.axisLabel = { ...a.axisLabel, formatter: figure };
  if (o.tooltip) {
    o.tooltip.confine = true;
    o.tooltip.formatter = p => Array.isArray(p) ? together(p) : p.name ? element('div', p.name, 'tip') : '';
  }
  return o;
};

const together = points => {
  const box = element('div', clock(points[0].axisValue), 'tip');
  for (const p of points) if (p.value[1] != null) box.append(element('div', p.seriesName + ': ' + figure(p.value[1])));
  return box;
};

const locale = root.lang === 'en' ? 'EN' : { time: { monthAbbr: data.months?.split(' ') } };
const charts = new Map(); // plot element -> { json, live, at, steps }
const build = plot => {
  const c = charts.get(plot);
  if (c.live) return;
  // On paper: lines instead of pixels, as wide as a sheet leaves room for.
  const paper = { renderer: 'svg', width: 660, height: plot.clientHeight > 400 ? 380 : 245 };
  c.live = engine.init(plot, resolve(JSON.parse(id('theme').textContent)), { ...data.print && paper, locale });
  c.live.setOption(options(c.json, plot));
  engine.connect(c.live.group = group(plot));
  c.live.on('datazoom', () => {
    const { startValue, endValue } = c.live.getOption().dataZoom[0];
    zooms[group(plot)] = { start: null, end: null, startValue, endValue };
    one('.eyebrow a', plot.parentElement).hash = [plot.id.slice(2), startValue, endValue].join('~');
  });
  plot.dataset.drawn = '';
};
const drop = plot => {
  const c = charts.get(plot);
  if (c.live) c.live.dispose();
  c.live = null;
  delete plot.dataset.drawn;
};
const redraw = () => all('.plot[data-drawn]').forEach(plot => { drop(plot); build(plot); });

// A link may say what is shown of a chart: #name~from~to.
const follow = () => {
  const [name, from, to] = location.hash.slice(1).split('~'), plot = id('c-' + name);
  if (!to || !plot) return;
  zooms[group(plot)] = { start: null, end: null, startValue: +from, endValue: +to };
  redraw();
  id(name).scrollIntoView();
};

// The keyboard walks over the points of a chart and reads them out.
const steps = json => {
  const named = json.series.flatMap((s, seriesIndex) => (s.data || []).map((d, dataIndex) => ({ seriesIndex, dataIndex, d })))
    .filter(p => p.d.name).sort((a, b) => a.d.value[0] - b.d.value[0]);
  if (named.length || json.tooltip.trigger !== 'axis') return named.map(p => ({ ...p, text: p.d.name }));
  return json.series[0].data.map((d, dataIndex) => ({ seriesIndex: 0, dataIndex, text: clock(d[0]) + ', ' + json.series.map(s =>
    s.name + ' ' + figure((s.data.findLast(x => x[0] <= d[0] && x[1] != null) || [])[1] ?? data.none)).join(', ') }));
};
const walk = (plot, event) => {
  const c = charts.get(plot), list = c.steps ||= steps(c.json), far = Math.max(1, Math.round(list.length / 10));
  const to = { ArrowRight: c.at + 1, ArrowLeft: c.at - 1, PageDown: c.at + far, PageUp: c.at - far, Home: 0, End: list.length - 1 }[event.key];
  if (to === undefined || !list.length) return;
  event.preventDefault();
  build(plot);
  c.at = Math.max(0, Math.min(list.length - 1, to));
  const { seriesIndex, dataIndex, text } = list[c.at];
  c.live.dispatchAction({ type: 'showTip', seriesIndex, dataIndex });
  one('.live', plot.parentElement).textContent = fill(data.step, { n: c.at + 1, all: list.length, text });
};

if (engine) {
  const seen = new IntersectionObserver(entries => entries.forEach(e => e.isIntersecting && build(e.target)), { rootMargin: '300px' });
  const sized = new ResizeObserver(entries => entries.forEach(e => { const c = charts.get(e.target); if (c.live && !data.print) c.live.resize(); }));
  for (const plot of all('.plot')) {
    charts.set(plot, { json: JSON.parse(id(plot.id + '-data').textContent), live: null, at: -1 });
    on(plot, 'keydown', event => walk(plot, event));
    seen.observe(plot);
    sized.observe(plot);
  }
  if (location.hash === '#all') all('.plot').forEach(build);
  follow();
  on(window, 'hashchange', follow);
  if (common) on(common, 'change', redraw);
  let before;
  on(window, 'beforeprint', () => {
    before = data.theme;
    data.theme = 'light';
    data.print = 'yes';
    all('.plot').forEach(plot => { drop(plot); build(plot); });
  });
  on(window, 'afterprint', () => {
    delete data.print;
    if (before) data.theme = before; else delete data.theme;
    redraw();
  });
  on(night, 'change', redraw);
} else {
  all('.missing').forEach(p => { p.hidden = false; });
  all('.plot').forEach(plot => { plot.hidden = true; });
  all('details.figures').forEach(d => { d.open = true; });
}

for (const button of all('button.theme')) {
  button.hidden = false;
  on(button, 'click', () => {
    keep('theme', data.theme = dark() ? 'light' : 'dark');
    if (engine) redraw();
  });
}

// ---- the figures behind a chart as a file ----
for (const button of all('button.csv')) {
  button.hidden = false;
  on(button, 'click', () => {
    // No cell is a formula to a spreadsheet.
    const quote = s => `"${/^([=@]|[+-].*[(|!=])/.test(s) ? "'" : ''}${s.replaceAll('"', '""')}"`;
    const lines = all('tr', button.parentElement).map(tr => [...tr.cells].map(td => quote(td.textContent.trim().replaceAll('\u2212', '-').replaceAll('\u00a0', ' '))).join(button.dataset.part || ','));
    const link = set(element('a'), { download: button.dataset.name, href: URL.createObjectURL(new Blob(['\ufeff' + lines.join('\r\n')], { type: 'text/csv' })) });
    link.click();
    URL.revokeObjectURL(link.href);
  });
}

// ---- from system to system, in the order in which the fleet page last showed them ----
const fleet = id('fleet');
const order = 'order ' + (one('.brand a') || location).href.split('#')[0];
const paths = recall(order).split(' '), here = paths.findIndex(path => path && location.pathname.endsWith(path));
for (const [rel, step] of [['prev', -1], ['next', 1]]) {
  const link = one(`a[rel=${rel}]`), to = paths[here + step];
  if (!link || here < 0) continue;
  link.hidden = !to;
  link.href = '../' + to;
}
on(window, 'keyup', event => {
  if (/^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement.tagName)) return;
  if (event.key === '/' && fleet) id('find').focus();
  const rel = { '[': 'prev', ']': 'next' }[event.key];
  if (rel) one(`a[rel=${rel}]:not([hidden])`)?.click();
});

// ---- the fleet: sort, filter, fold ----
if (fleet) {
  const groups = all('tbody[data-group]', fleet);
  const rows = all('tr[data-name]', fleet);
  const query = id('find'), chosen = id('group'), count = id('count');
  const remember = () => keep(order, all('tr[data-name]:not([hidden]) th a', fleet).map(a => a.getAttribute('href')).join(' '));

  const value = (row, key) => key === 'name' || key === 'since' ? row.dataset[key] : parseFloat(row.dataset[key]);
  const compare = (a, b, key) => {
    const x = value(a, key), y = value(b, key);
    if (typeof x === 'string') return x.localeCompare(y, root.lang, { numeric: true });
    return (isNaN(x) - isNaN(y)) || x - y;
  };
  const heads = all('th[data-key]', fleet);
  const sort = (th, way) => {
    const key = th.dataset.key, sign = way === 'descending' ? -1 : 1;
    for (const other of heads) other.ariaSort = null;
    th.ariaSort = way;
    keep('sort', key + ' ' + way);
    for (const body of groups) {
      const own = all('tr[data-name]', body).sort((a, b) => compare(a, b, key) * sign || a.dataset.order - b.dataset.order);
      body.append(...own);
    }
    remember();
  };
  const [kept, way] = recall('sort').split(' ');
  for (const th of heads) {
    const button = one('button', th);
    button.disabled = false;
    on(button, 'click', () => sort(th, th.ariaSort === 'ascending' ? 'descending' : 'ascending'));
    if (th.dataset.key === kept) sort(th, way);
  }

  const fold = (body, closed) => {
    body.toggleAttribute('data-closed', closed);
    one('button.fold', body).ariaExpanded = !closed;
  };
  for (const body of groups) {
    const button = one('button.fold', body);
    button.disabled = false;
    on(button, 'click', () => fold(body, !body.hasAttribute('data-closed')));
    if (body.dataset.group === 'calm') fold(body, true);
  }
  const filter = () => {
    const words = query.value.toLowerCase().split(/\s+/).filter(Boolean), only = chosen.value;
    let shown = 0;
    for (const row of rows) {
      row.hidden = (only && only !== row.parentElement.dataset.group) || !words.every(w => row.dataset.text.includes(w));
      shown += !row.hidden;
    }
    for (const body of groups) {
      body.hidden = !one('tr[data-name]:not([hidden])', body);
      if (words.length || only) fold(body, false);
    }
    count.textContent = fill(count.dataset.text, { shown, all: rows.length });
    remember();
  };
  on(query, 'input', filter);
  on(chosen, 'change', filter);
  id('controls').hidden = false;
  filter();
}
data.booted = '';
})();
