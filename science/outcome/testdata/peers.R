# Answers of R's survival package for sets of random records: sets.csv has a row
# for each record with the set, the group, the interval and the ending. Prints
# rows of set, what, at, and values.
suppressMessages(library(survival))
all <- read.csv(file("stdin"), colClasses = c(ending = "character"))
say <- function(set, what, at, ...) cat(set, what, sprintf("%.10g", at), sprintf("%.12g", c(...)), sep = ",", fill = FALSE, "\n")
for (set in unique(all$set)) {
  d <- all[all$set == set, ]
  until <- d$until[1]
  # Exact days, deaths and open ends both ending the watch.
  event <- d$ending == "seen"
  km <- survfit(Surv(d$by, event) ~ 1, conf.type = "log-log")
  s <- summary(km, censored = FALSE)
  for (i in seq_along(s$time)) if (s$surv[i] > 0) say(set, "km", s$time[i], s$surv[i], s$std.err[i], s$lower[i], s$upper[i])
  m <- quantile(km, 0.5)
  say(set, "median", 0, m$quantile, m$lower, m$upper)
  table <- summary(km, rmean = until)$table
  say(set, "mean", until, table["rmean"], table["se(rmean)"])
  # The area by its own sum.
  steps <- c(0, s$time[s$time < until], until)
  height <- c(1, s$surv[s$time < until])
  say(set, "area", until, sum(diff(steps) * height))
  # Competing deaths.
  state <- factor(d$ending, levels = c("open", "seen", "died"))
  aj <- survfit(Surv(d$by, state) ~ 1)
  for (i in seq_along(aj$time)) if (aj$n.event[i, 2] + aj$n.event[i, 3] > 0)
    say(set, "incidence", aj$time[i], aj$pstate[i, 2], aj$pstate[i, 3], aj$std.err[i, 2], aj$std.err[i, 3])
  # Two groups.
  for (rho in c(0, 1)) {
    test <- survdiff(Surv(d$by, event) ~ d$group, rho = rho)
    say(set, paste0("logrank", rho), 0, test$chisq, test$obs[1], test$exp[1])
  }
  one <- d$group == "a"
  part <- function(which) {
    fit <- survfit(Surv(d$by[which], event[which]) ~ 1)
    t <- summary(fit, rmean = until)$table
    m <- sum(event[which] & d$by[which] <= until)
    c(t["rmean"], t["se(rmean)"]^2 * m / (m - 1), m - 1)
  }
  a <- part(one); b <- part(!one)
  v <- a[2] + b[2]
  df <- v^2 / (a[2]^2 / a[3] + b[2]^2 / b[3])
  say(set, "welch", until, a[1] - b[1] - qt(0.975, df) * sqrt(v), a[1] - b[1] + qt(0.975, df) * sqrt(v))
  # Intervals between looks; deaths end the watch at the last look.
  right <- ifelse(event, d$by, NA)
  turnbull <- survfit(Surv(d$after, right, type = "interval2") ~ 1)
  at <- sort(unique(d$by[event]))
  surv <- summary(turnbull, times = at, extend = TRUE)$surv
  for (i in seq_along(at)) say(set, "turnbull", at[i], surv[i])
  # survfit stops its EM early. The same by an EM of our own on all days on which
  # something was found, and never.
  days <- c(at, Inf)
  end <- ifelse(event, d$by, Inf)
  possible <- outer(seq_along(end), seq_along(days), function(i, j) days[j] > d$after[i] & days[j] <= end[i] | days[j] == end[i]) + 0
  p <- rep(1 / length(days), length(days))
  for (k in 1:20000) p <- p * as.vector(crossprod(possible, 1 / as.vector(possible %*% p))) / length(end)
  say(set, "likelihood", 0, sum(log(possible %*% p)))
  for (i in seq_along(at)) say(set, "em", at[i], sum(p[days > at[i]]))
}
