// Converts every CSV file of a fleet to Parquet with DuckDB's defaults:
// node fleet.mjs UPLOADS OUT THREADS. What DuckDB cannot read is left out and counted.
import { DuckDBInstance } from '@duckdb/node-api';
import { closeSync, mkdirSync, openSync, readSync, readdirSync } from 'node:fs';
import { join } from 'node:path';

const [uploads, out, threads] = process.argv.slice(2);
mkdirSync(out, { recursive: true });
const instance = await DuckDBInstance.create(':memory:', { threads });
const db = await instance.connect();
const quoted = (s) => `'${s.replaceAll("'", "''")}'`;
let files = 0;
let left = 0;
for (const name of readdirSync(uploads, { recursive: true }).filter((n) => n.endsWith('.csv')).sort()) {
  const file = join(uploads, name);
  const dialect = firstLine(file).includes(';') ? `delim=';', decimal_separator=','` : `delim=','`;
  try {
    await db.run(`COPY (SELECT * FROM read_csv(${quoted(file)}, header=true, ${dialect})) TO ${quoted(join(out, `${files}.parquet`))} (FORMAT parquet)`);
    files++;
  } catch {
    left++;
  }
}
console.log(`${files} files converted, ${left} left out`);

function firstLine(path) {
  const head = Buffer.alloc(4096);
  const file = openSync(path);
  readSync(file, head);
  closeSync(file);
  return head.toString('utf8').split('\n')[0];
}
