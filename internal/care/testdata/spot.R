# The light of spots, worked out another way than in the program: the sun's place by
# Meeus, Astronomical Algorithms, 2nd ed. 1998, ch. 12, 22 and 25 (low accuracy, 0.01
# degrees; the constants are from memory), the beam as the product of two vectors
# (east, north, up), a day as the sum of its minutes.
#
# Standard input: id, latitude and longitude in degrees, elevation in m, tilt and
# facing of the pane in degrees, Unix time of the midnight that the day begins with,
# Unix time of a reading. Standard output: id, mol/m² of the clear day and µmol/m²/s
# at the reading, both outside the pane.
rows <- read.csv(file("stdin"))
radians <- pi / 180

clear <- function(unix, lat, lon, elevation, tilt, facing) {
  days <- unix / 86400 + 2440587.5 - 2451545
  t <- days / 36525
  anomaly <- (357.52911 + 35999.05029 * t - 0.0001537 * t^2) * radians
  centre <- (1.914602 - 0.004817 * t) * sin(anomaly) + (0.019993 - 0.000101 * t) * sin(2 * anomaly) + 0.000289 * sin(3 * anomaly)
  node <- (125.04 - 1934.136 * t) * radians
  longitude <- (280.46646 + 36000.76983 * t + 0.0003032 * t^2 + centre - 0.00569 - 0.00478 * sin(node)) * radians
  tilted <- (23.439291 - 0.0130042 * t + 0.00256 * cos(node)) * radians
  declination <- asin(sin(tilted) * sin(longitude))
  ascension <- atan2(cos(tilted) * sin(longitude), cos(longitude))
  eccentricity <- 0.016708634 - 0.000042037 * t
  nearness <- ((1 + eccentricity * cos(anomaly + centre * radians)) / (1.000001018 * (1 - eccentricity^2)))^2
  angle <- (280.46061837 + 360.98564736629 * days + lon) * radians - ascension
  east <- -cos(declination) * sin(angle)
  north <- cos(lat * radians) * sin(declination) - sin(lat * radians) * cos(declination) * cos(angle)
  up <- sin(lat * radians) * sin(declination) + cos(lat * radians) * cos(declination) * cos(angle)
  through <- 0.75 + 2e-5 * elevation                       # FAO-56 Eq. 37
  global <- 0.0820e6 / 60 * nearness * pmax(0, up) * through # FAO-56 Eq. 21's constant
  k <- through
  diffuse <- global * ifelse(k >= 0.75, 0.166, 1.0045 + 0.04349 * k - 3.5227 * k^2 + 2.6313 * k^3)
  pane <- c(sin(tilt * radians) * sin(facing * radians), sin(tilt * radians) * cos(facing * radians), cos(tilt * radians))
  on <- pmax(0, east * pane[1] + north * pane[2] + up * pane[3])
  beam <- ifelse(up > 0, (global - diffuse) * on / pmax(0.087, up), 0)
  2.04 * (beam + diffuse * (1 + pane[3]) / 2 + 0.23 * global * (1 - pane[3]) / 2)
}

for (i in seq_len(nrow(rows))) {
  r <- rows[i, ]
  minutes <- clear(r$midnight + 60 * (0:1439) + 30, r$lat, r$lon, r$elevation, r$tilt, r$facing)
  reading <- clear(r$read, r$lat, r$lon, r$elevation, r$tilt, r$facing)
  cat(sprintf("%d %.6f %.4f\n", r$id, sum(minutes) * 60 / 1e6, reading))
}
