// The pages' own script: draws the charts from their JSON, and makes tables
// sortable, filterable and foldable. It asks nothing of any network.
(() => {
'use strict';
const root = document.documentElement;
const engine = window.echarts;
const all = (query, from = document) => [...from.querySelectorAll(query)];
const on = (target, event, act) => target.addEventListener(event, act);
const id = name => document.getElementById(name);
const style = name => getComputedStyle(root).getPropertyValue(name).trim();

// ---- light and dark ----
const recall = () => { try { return localStorage.getItem('rimelog-theme'); } catch { return null; } };
// Where files have no storage, the choice is not kept.
const keep = theme => { try { localStorage.setItem('rimelog-theme', theme); } catch {} };
const dark = () => root.dataset.theme ? root.dataset.theme === 'dark' : matchMedia('(prefers-color-scheme: dark)').matches;
if (recall()) root.dataset.theme = recall();

// ---- charts ----
const element = (tag, text, cls) => Object.assign(document.createElement(tag), { textContent: text, className: cls || '' });
const foreign = root.lang !== 'en';
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

const options = (json, width) => {
  const o = resolve(json);
  for (const s of o.series) {
    if (s.renderItem) s.renderItem = functions[s.renderItem.slice(4)](s);
  }
  if (width < 560 || root.dataset.print) {
    if (o.dataZoom) for (const g of o.grid) g.bottom = 34;
    delete o.dataZoom;
  }
  for (const a of [].concat(o.xAxis, o.yAxis)) if (/value|log/.test(a.type)) a.axisLabel = { ...a.axisLabel, formatter: figure };
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

const theme = () => {
  const line = { lineStyle: { color: style('--rule') } };
  const none = { lineStyle: { opacity: 0 }, areaStyle: { opacity: 0 } };
  const small = { color: style('--ink-2'), fontSize: 12 };
  const axis = {
    axisLine: { show: true, lineStyle: { color: style('--rule-2') } }, axisTick: line, splitLine: { show: true, ...line },
    axisLabel: small, nameTextStyle: small,
  };
  return {
    textStyle: { fontFamily: getComputedStyle(document.body).fontFamily, color: style('--ink') },
    timeAxis: axis, valueAxis: axis, logAxis: axis,
    tooltip: {
      backgroundColor: style('--surface'), borderColor: style('--rule-2'), borderWidth: 1,
      textStyle: { color: style('--ink'), fontSize: 13 }, axisPointer: { lineStyle: { color: style('--ink-2') } },
    },
    dataZoom: {
      showDetail: false, brushSelect: false, borderColor: 'transparent', backgroundColor: style('--track'),
      fillerColor: style('--measure-band'), dataBackground: none, selectedDataBackground: none,
      handleStyle: { color: style('--surface'), borderColor: style('--measure') }, moveHandleSize: 0,
    },
  };
};

const locale = foreign ? { time: { monthAbbr: root.dataset.months.split(' ') } } : 'EN';
const charts = new Map(); // plot element -> { json, live, at, steps }
const build = plot => {
  const c = charts.get(plot);
  if (c.live) return;
  // On paper: lines instead of pixels, as wide as a sheet leaves room for.
  c.live = engine.init(plot, theme(), root.dataset.print ? { renderer: 'svg', width: 660, height: 245, locale } : { renderer: 'canvas', locale });
  c.live.setOption(options(c.json, plot.clientWidth));
  if (plot.dataset.group) { c.live.group = plot.dataset.group; engine.connect(c.live.group); }
  plot.dataset.drawn = '';
};
const drop = plot => {
  const c = charts.get(plot);
  if (c.live) c.live.dispose();
  c.live = null;
  delete plot.dataset.drawn;
};
const redraw = () => all('.plot[data-drawn]').forEach(plot => { drop(plot); build(plot); });

// The keyboard walks over the points of a chart and reads them out.
const steps = json => {
  const named = json.series.flatMap((s, seriesIndex) => (s.data || []).map((d, dataIndex) => ({ seriesIndex, dataIndex, d })))
    .filter(p => p.d.name).sort((a, b) => a.d.value[0] - b.d.value[0]);
  if (named.length || json.tooltip.trigger !== 'axis') return named.map(p => ({ ...p, text: p.d.name }));
  return json.series[0].data.map((d, dataIndex) => ({ seriesIndex: 0, dataIndex, text: clock(d[0]) + ', ' + json.series.map(s =>
    s.name + ' ' + figure((s.data.findLast(x => x[0] <= d[0] && x[1] != null) || [])[1] ?? root.dataset.none)).join(', ') }));
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
  plot.parentElement.querySelector('.live').textContent = fill(root.dataset.step, { n: c.at + 1, all: list.length, text });
};

const drawAll = () => all('.plot').forEach(build);
if (engine) {
  const seen = new IntersectionObserver(entries => entries.forEach(e => e.isIntersecting && build(e.target)), { rootMargin: '300px' });
  const sized = new ResizeObserver(entries => entries.forEach(e => { const c = charts.get(e.target); if (c.live && !root.dataset.print) c.live.resize(); }));
  for (const plot of all('.plot')) {
    charts.set(plot, { json: JSON.parse(id(plot.id + '-data').textContent), live: null, at: -1 });
    on(plot, 'keydown', event => walk(plot, event));
    seen.observe(plot);
    sized.observe(plot);
  }
  if (location.hash === '#all') drawAll();
  let before;
  on(window, 'beforeprint', () => {
    before = root.dataset.theme;
    root.dataset.theme = 'light';
    root.dataset.print = 'yes';
    all('.plot').forEach(plot => { drop(plot); build(plot); });
  });
  on(window, 'afterprint', () => {
    delete root.dataset.print;
    if (before) root.dataset.theme = before; else delete root.dataset.theme;
    redraw();
  });
  on(matchMedia('(prefers-color-scheme: dark)'), 'change', redraw);
} else {
  all('.missing').forEach(p => { p.hidden = false; });
  all('.plot').forEach(plot => { plot.hidden = true; });
  all('details.figures').forEach(d => { d.open = true; });
}

for (const button of all('button.theme')) {
  button.hidden = false;
  on(button, 'click', () => {
    root.dataset.theme = dark() ? 'light' : 'dark';
    keep(root.dataset.theme);
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
    const link = Object.assign(document.createElement('a'), { download: button.dataset.name, href: URL.createObjectURL(new Blob(['\ufeff' + lines.join('\r\n')], { type: 'text/csv' })) });
    link.click();
    URL.revokeObjectURL(link.href);
  });
}

// ---- the fleet: sort, filter, fold ----
const fleet = id('fleet');
if (fleet) {
  const groups = all('tbody[data-group]', fleet);
  const rows = all('tr[data-name]', fleet);
  const query = id('find'), group = id('group'), count = id('count');

  const value = (row, key) => key === 'name' || key === 'since' ? row.dataset[key] : parseFloat(row.dataset[key]);
  const compare = (a, b, key) => {
    const x = value(a, key), y = value(b, key);
    if (typeof x === 'string') return x.localeCompare(y, root.lang, { numeric: true });
    return (isNaN(x) - isNaN(y)) || x - y;
  };
  const sort = th => {
    const falling = th.getAttribute('aria-sort') === 'ascending', key = th.dataset.key;
    all('th[data-key]', fleet).forEach(other => other.removeAttribute('aria-sort'));
    th.setAttribute('aria-sort', falling ? 'descending' : 'ascending');
    for (const body of groups) {
      const own = all('tr[data-name]', body).sort((a, b) => compare(a, b, key) * (falling ? -1 : 1) || a.dataset.order - b.dataset.order);
      body.append(...own);
    }
  };
  all('th[data-key] button', fleet).forEach(b => { b.disabled = false; on(b, 'click', () => sort(b.closest('th'))); });

  const fold = (body, closed) => {
    body.toggleAttribute('data-closed', closed);
    body.querySelector('button.fold').setAttribute('aria-expanded', String(!closed));
  };
  for (const body of groups) {
    const button = body.querySelector('button.fold');
    if (!button) continue;
    button.disabled = false;
    on(button, 'click', () => fold(body, !body.hasAttribute('data-closed')));
    if (body.dataset.group === 'calm') fold(body, true);
  }
  const filter = () => {
    const words = query.value.toLowerCase().split(/\s+/).filter(Boolean), only = group.value;
    let shown = 0;
    for (const row of rows) {
      const body = row.parentElement.dataset.group;
      row.hidden = (only && only !== body) || !words.every(w => row.dataset.text.includes(w));
      shown += !row.hidden;
    }
    for (const body of groups) {
      body.hidden = !all('tr[data-name]', body).some(row => !row.hidden);
      if ((words.length || only) && body.querySelector('button.fold')) fold(body, false);
    }
    count.textContent = fill(count.dataset.text, { shown, all: rows.length });
  };
  on(query, 'input', filter);
  on(group, 'change', filter);
  id('controls').hidden = false;
  filter();
  on(window, 'keyup', event => {
    if (event.key === '/' && !/^(INPUT|SELECT|TEXTAREA)$/.test(document.activeElement.tagName)) query.focus();
  });
}
root.dataset.booted = '';
})();
