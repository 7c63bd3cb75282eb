.mode csv
.import log.csv log
.headers off
.output hourly.csv
with line as (
  select substr("Time", 1, 13) as hour, cast("Temperature (°C)" as real) as t, cast("Humidity (%)" as real) as h from log
), deficit as (
  select hour, t, h, 0.6108 * exp(17.27 * t / (t + 237.3)) * (1 - h / 100) as v from line
)
select hour, count(*), min(t), avg(t), max(t), min(h), avg(h), max(h), min(v), avg(v), max(v) from deficit group by 1 order by 1;
