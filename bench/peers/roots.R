# The local linear trend of science/growth with the Kalman filter of R itself, on
# a grid of days in which the days without a reading are missing.
args <- commandArgs(trailingOnly = TRUE)
table <- read.csv(args[1])
runs <- as.integer(args[2])
noise <- as.numeric(args[3]); error <- as.numeric(args[4]); rate <- as.numeric(args[5]); rate_var <- as.numeric(args[6])
roots <- split(table, table$root)
model <- list(T = matrix(c(1, 0, 1, 1), 2), V = noise * matrix(c(1 / 3, 1 / 2, 1 / 2, 1), 2), h = error, Z = c(1, 0),
  a = c(0, 0), P = matrix(0, 2, 2), Pn = diag(c(error, rate_var)))
one <- function(days, lengths) {
  seen <- rep(NA_real_, days[length(days)] + 1)
  seen[days + 1] <- lengths
  seen[1] <- NA # what the filter starts from
  m <- model
  m$a <- c(lengths[1] - rate, rate)
  KalmanRun(seen, m, nit = 0L, update = TRUE)
}
for (k in seq_len(runs)) {
  before <- proc.time()
  for (r in roots) fit <- one(r$day, r$length)
  took <- proc.time() - before
  cat(sprintf("time,%g,%g\n", took[["user.self"]] + took[["sys.self"]], took[["elapsed"]]))
}
for (i in unique(round(seq(1, length(roots), length.out = 50)))) {
  fit <- one(roots[[i]]$day, roots[[i]]$length)
  after <- attr(fit, "mod")
  cat(sprintf("root,%d,%.15g,%.15g\n", i - 1L, after$a[2], after$P[2, 2]))
}
