// A logger's file to hourly climate with DuckDB: its CSV reader and one
// grouping. Prints what the work took, and the start of the program apart.
import { DuckDBInstance } from '@duckdb/node-api';

const [log, hourly, threads] = process.argv.slice(2);
const instance = await DuckDBInstance.create(':memory:', threads ? { threads } : {});
const connection = await instance.connect();
const cpu = process.cpuUsage(), wall = process.hrtime.bigint();
await connection.run(`copy (
  select date_trunc('hour', "Time") as hour, count(*),
    min("Temperature (°C)"), avg("Temperature (°C)"), max("Temperature (°C)"),
    min("Humidity (%)"), avg("Humidity (%)"), max("Humidity (%)")
  from read_csv('${log}') group by 1 order by 1) to '${hourly}' (header false)`);
const took = process.cpuUsage(cpu);
console.log(`time,${(took.user + took.system) / 1e6},${Number(process.hrtime.bigint() - wall) / 1e9}`);
