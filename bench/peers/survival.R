# Curves of how recoveries end, by R's survival package.
suppressMessages(library(survival))
args <- commandArgs(trailingOnly = TRUE)
d <- read.csv(args[1])
runs <- as.integer(args[2])
some <- d[seq_len(as.integer(args[3])), ]
timed <- function(name, work) for (k in seq_len(runs)) {
  before <- proc.time()
  fit <<- work()
  took <- proc.time() - before
  cat(sprintf("%s-time,%g,%g\n", name, took[["user.self"]] + took[["sys.self"]], took[["elapsed"]]))
}
say <- function(what, ...) cat(what, sprintf(",%.15g", c(...)), "\n", sep = "")

timed("km", function() survfit(Surv(d$by, d$ending == 1) ~ 1, conf.type = "log-log"))
s <- summary(fit, censored = FALSE)
for (i in seq_along(s$time)) if (s$surv[i] > 0) say("km", s$time[i], s$surv[i], s$std.err[i])

state <- factor(d$ending, levels = 0:2)
timed("aj", function() survfit(Surv(d$by, state) ~ 1))
for (i in seq_along(fit$time)) if (fit$n.event[i, 2] + fit$n.event[i, 3] > 0) say("aj", fit$time[i], fit$pstate[i, 2], fit$pstate[i, 3])

right <- ifelse(some$ending == 1, some$by, NA)
left <- ifelse(some$ending == 2, some$after, ifelse(some$ending == 0, some$by, some$after))
timed("turnbull", function() survfit(Surv(left, right, type = "interval2") ~ 1))
at <- sort(unique(some$by[some$ending == 1]))
surv <- summary(fit, times = at, extend = TRUE)$surv
for (i in seq_along(at)) say("turnbull", at[i], surv[i])
