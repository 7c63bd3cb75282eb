// A logger's file to hourly climate with DuckDB: its CSV reader and one grouping.
import { DuckDBInstance } from '@duckdb/node-api';

const [log, hourly] = process.argv.slice(2);
const instance = await DuckDBInstance.create(':memory:');
const connection = await instance.connect();
await connection.run(`copy (
  with line as (
    select date_trunc('hour', "Time") as hour, "Temperature (°C)" as t, "Humidity (%)" as h from read_csv('${log}')
  ), deficit as (
    select hour, t, h, 0.6108 * exp(17.27 * t / (t + 237.3)) * (1 - h / 100) as v from line
  )
  select hour, count(*), min(t), avg(t), max(t), min(h), avg(h), max(h), min(v), avg(v), max(v) from deficit group by 1 order by 1
  ) to '${hourly}' (header false)`);
