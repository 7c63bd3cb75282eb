.mode csv
.import log.csv log
.headers off
.output hourly.csv
select substr("Time", 1, 13),
  count(*), min(cast("Temperature (°C)" as real)), avg(cast("Temperature (°C)" as real)), max(cast("Temperature (°C)" as real)),
  min(cast("Humidity (%)" as real)), avg(cast("Humidity (%)" as real)), max(cast("Humidity (%)" as real))
from log group by 1 order by 1;
