# The pot model of science/pot as one system of differential equations, solved by
# deSolve: the rates of all processes at once, the pours as events. Prints the
# time of each pot and its hourly wetness and EC.
library(deSolve)
args <- commandArgs(trailingOnly = TRUE)
pots <- read.csv(args[1])
course <- read.csv(args[2])$course
few <- as.integer(args[3])
hours <- length(course)

reduced <- function(depletion, ready, total) max(0, min(1, (total - depletion) / (total - ready)))

one <- function(p) {
  tanks <- p$tanks
  capacity <- p$film_capacity + p$particle_capacity
  stores <- 1 + p$particle_capacity / p$film_capacity
  swap <- p$particle_capacity / stores
  root_ready <- capacity * (1 - p$root_wetness)
  at_film_salt <- 4 + seq_len(tanks)

  rates <- function(t, y, parms) {
    hour <- min(floor(t) + 1, hours)
    demand <- p$demand * course[hour]
    potential <- p$potential * course[hour]
    film <- y[1]; particle <- y[2]; depletion <- y[3]; age <- y[4]
    film_salt <- y[at_film_salt]; particle_salt <- y[5 + tanks]
    water <- film + particle
    wetness <- water / capacity

    mm <- max(potential * reduced(depletion, p$ready_mm, p$total_mm), min(potential, p$floor_mm / 24 * wetness))
    share <- potential * p$wall_per_mm + demand * reduced(capacity - water, root_ready, capacity) / water
    roots <- demand * reduced(capacity - water, root_ready, capacity)
    d_film <- -mm * p$ml_per_mm - share * film
    d_particle <- -share * particle
    d_depletion <- mm + share * (p$total_mm - depletion)

    salt <- sum(film_salt) + particle_salt
    taken <- if (salt > 0) roots * p$uptake_ec / salt else 0
    d_film_salt <- -taken * film_salt
    d_particle_salt <- -taken * particle_salt

    filling <- particle / p$particle_capacity
    difference <- film / p$film_capacity - filling
    if (difference > 0) {
      exact <- floor(age * p$ageing_days) / p$ageing_days
      fresh <- if (filling < p$uptake_switch) p$uptake_dry_fresh else p$uptake_moist_fresh
      aged <- if (filling < p$uptake_switch) p$uptake_dry_aged else p$uptake_moist_aged
      into <- difference * swap * stores * fresh * (aged / fresh)^exact / 24
      carried <- film_salt * into / film
      d_film_salt <- d_film_salt - carried
      d_particle_salt <- d_particle_salt + sum(carried)
      d_film <- d_film - into
      d_particle <- d_particle + into
    } else {
      out <- -difference * swap * stores * p$release / 24
      carried <- particle_salt * out / particle
      d_film_salt <- d_film_salt + carried / tanks
      d_particle_salt <- d_particle_salt - carried
      d_film <- d_film + out
      d_particle <- d_particle - out
    }
    exchanged <- (film_salt / (film / tanks) - particle_salt / particle) * particle / tanks / p$salt_hours
    d_film_salt <- d_film_salt - exchanged
    d_particle_salt <- d_particle_salt + sum(exchanged)
    d_age <- if (wetness >= p$wet_roots && age < 1) 1 / (24 * p$ageing_days) else 0
    list(c(d_film, d_particle, d_depletion, d_age, d_film_salt, d_particle_salt))
  }

  pour <- function(t, y, parms) {
    film <- y[1]; age <- y[4]; film_salt <- y[at_film_salt]
    wet <- min(1, min(1, (film + y[2]) / capacity) / p$critical)
    share <- (p$capture_dry_fresh + (p$capture_dry_aged - p$capture_dry_fresh) * age) * (1 - wet) +
      (p$capture_wet_fresh + (p$capture_wet_aged - p$capture_wet_fresh) * age) * wet
    caught <- min(p$pour, share * max(0, capacity - film - y[2]), max(0, p$film_capacity - film))
    film <- film + caught
    film_salt <- film_salt + caught * p$pour_ec / tanks
    n <- (p$pour - caught) * (1 - p$bypass) / (film / tanks)
    moved <- exp(-n) * n^(0:(tanks - 1)) / factorial(0:(tanks - 1))
    after <- numeric(tanks)
    for (k in seq_len(tanks)) after[k] <- sum(film_salt[1:k] * moved[k:1]) + p$pour_ec * film / tanks * (1 - sum(moved[1:k]))
    y[1] <- film
    y[3] <- max(0, y[3] - caught / p$ml_per_mm)
    y[at_film_salt] <- after
    y
  }

  start <- c(p$film, p$particle, p$depletion, p$age, rep(p$film_ec * p$film / tanks, tanks), p$particle_ec * p$particle)
  times <- 0:hours
  pours <- seq(8, hours - 1, by = 72)
  before <- proc.time()
  # The first hours after a start or a pour stand as they were before it.
  y <- ode(start, times, rates, NULL, method = "lsoda", hmax = 1, rtol = 1e-6, atol = 1e-8, events = list(func = pour, time = pours))
  took <- proc.time() - before
  y <- y[-1, -1]
  water <- y[, 1] + y[, 2]
  salt <- rowSums(y[, c(at_film_salt, 5 + tanks)])
  # At the hour of a pour the solver gives the state after it.
  wetness <- pmin(1, water / capacity)
  ec <- salt / pmax(water, 0.02 * capacity)
  list(took = took, wetness = wetness, ec = ec, pours = pours)
}

which <- unique(round(seq(1, nrow(pots), length.out = few)))
for (i in which) {
  r <- one(pots[i, ])
  cat(sprintf("time,%g,%g\n", r$took[["user.self"]] + r$took[["sys.self"]], r$took[["elapsed"]]))
  cat("wetness,", i - 1, ",", paste(format(r$wetness, digits = 12), collapse = ","), "\n", sep = "")
  cat("ec,", i - 1, ",", paste(format(r$ec, digits = 12), collapse = ","), "\n", sep = "")
}
