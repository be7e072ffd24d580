// Runs one job of DuckDB: node duck.mjs default|zstd|tuned CSV OUT THREADS
// or node duck.mjs compare CSV SAMPLES, which prints how the dataset's samples
// differ from the file as DuckDB reads both.
import { DuckDBInstance } from '@duckdb/node-api';
import { closeSync, openSync, readSync } from 'node:fs';

const [job, csv, out, threads] = process.argv.slice(2);
const header = firstLine(csv);
const semicolon = header.includes(';');
const names = header.trim().split(semicolon ? ';' : ',');

// The dialect is given, so that both dialects become typed columns: left alone,
// DuckDB keeps decimal commas as text.
const dialect = semicolon
  ? `delim=';', decimal_separator=',', timestampformat='%d.%m.%Y %H:%M:%S'`
  : `delim=',', timestampformat='%Y-%m-%d %H:%M:%S'`;
const quoted = (s) => `'${s.replaceAll("'", "''")}'`;
const types = (number) =>
  'types={' + names.map((n, i) => `${quoted(n)}: '${i === 0 ? 'TIMESTAMP' : number}'`).join(', ') + '}';
const source = (number) => `read_csv(${quoted(csv)}, header=true, ${dialect}, ${types(number)})`;

const writers = {
  default: `COPY (SELECT * FROM ${source('DOUBLE')}) TO ${quoted(out)} (FORMAT parquet)`,
  zstd: `COPY (SELECT * FROM ${source('DOUBLE')}) TO ${quoted(out)} (FORMAT parquet, COMPRESSION zstd)`,
  tuned: `COPY (SELECT * FROM ${source('DECIMAL(9,2)')}) TO ${quoted(out)}
    (FORMAT parquet, COMPRESSION zstd, PARQUET_VERSION v2, DICTIONARY_SIZE_LIMIT 0)`,
};

const instance = await DuckDBInstance.create(':memory:', threads ? { threads } : {});
const db = await instance.connect();
await db.run("SET TimeZone = 'UTC'");

if (job !== 'compare') {
  await db.run(writers[job]);
  process.exit(0);
}

// Column of samples, column of the file, and the exact conversion of its digits:
// 1 bar = 100 kPa, gauge counted from 101.325 kPa at sea level (ISO 2533:1975).
const columns = [
  ['suction_pressure_kpa', 1, (c) => `(${c} * 100 + 101.325)`],
  ['discharge_pressure_kpa', 2, (c) => `(${c} * 100 + 101.325)`],
  ['power_kw', 3, (c) => c],
  ...['suction_temp_c', 'discharge_temp_c', 'liquid_temp_c', 'outdoor_temp_c', 'room_temp_c'].map((n, i) => [n, 4 + i, (c) => c]),
];
const differ = columns
  .map(([n, i, f]) => `count(*) FILTER (s.${n} IS DISTINCT FROM CAST(${f(`CAST(f."${names[i]}" AS DECIMAL(18,3))`)} AS DECIMAL(9,3)))`)
  .join(' + ');
const samples = `read_parquet(${quoted(out + '/**/*.parquet')}, hive_partitioning=false, union_by_name=true)`;
const reader = await db.runAndReadAll(`
  SELECT count(*) AS rows, count(f."${names[0]}") AS in_file, count(s.time) AS in_samples, ${differ} AS different
  FROM ${source('DECIMAL(9,2)')} f
  FULL JOIN ${samples} s ON s.time = timezone('UTC', f."${names[0]}")`);
const described = await db.runAndReadAll(`DESCRIBE SELECT time, ${columns.map((c) => c[0])} FROM ${samples}`);
const row = reader.getRowObjectsJson()[0];
const kinds = described.getRowObjectsJson().map((r) => r.column_type);
const exact = kinds[0] === 'TIMESTAMP WITH TIME ZONE' && kinds.slice(1).every((k) => k === 'DECIMAL(9,3)');
console.log(JSON.stringify({ ...row, types: exact ? 'as specified' : kinds }));
process.exit(exact && row.rows === row.in_file && row.rows === row.in_samples && Number(row.different) === 0 ? 0 : 1);

function firstLine(path) {
  const head = Buffer.alloc(4096);
  const file = openSync(path);
  readSync(file, head);
  closeSync(file);
  return head.toString('utf8').split('\n')[0];
}
