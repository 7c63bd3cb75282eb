# What readings tell of a pot by Bayes' rule on a grid, without drawing anything: the
# figures in steps over their whole ranges, and the weight of vessel and plant, which
# nobody knows, summed over gram by gram.
#
# Standard input, one line each: "reading WHAT VALUE CAPACITY" for every reading, then
# "pot U V F1 F2 ..." for every pot of the grid with what it foresees of each of them.
# Standard output: mean, 10, 50 and 90 % of U, then of V.
lines <- strsplit(readLines(file("stdin")), " ")
readings <- Filter(function(l) l[1] == "reading", lines)
what <- sapply(readings, `[`, 2)
value <- as.numeric(sapply(readings, `[`, 3))
capacity <- as.numeric(readings[[1]][4])
pots <- t(sapply(Filter(function(l) l[1] == "pot", lines), function(l) as.numeric(l[-1])))
foreseen <- pots[, -(1:2), drop = FALSE]

scale <- sqrt(1.5^2 + (0.01 * capacity)^2)      # g: of the scale and of the model
tares <- seq(-600, 900, by = 1)              # g: 150, give or take as much
chance <- numeric(nrow(pots))
weighed <- which(what == "weigh")
for (i in seq_len(nrow(pots))) {
  if (length(weighed) > 0) {
    log.each <- dnorm(tares, 150, 150, log = TRUE)
    for (j in weighed) log.each <- log.each + dnorm(value[j], foreseen[i, j] + tares, scale, log = TRUE)
    most <- max(log.each)
    chance[i] <- most + log(sum(exp(log.each - most)))
  }
  for (j in which(what == "drainage")) {
    chance[i] <- chance[i] + dnorm(value[j], foreseen[i, j], sqrt(0.03^2 + (0.15 * foreseen[i, j])^2), log = TRUE)
  }
  for (j in which(what == "look")) {
    borders <- c(-Inf, 0.2, 0.45, 0.75, Inf)
    said <- diff(pnorm(borders, foreseen[i, j], 0.1))[value[j] + 1]
    chance[i] <- chance[i] + log(0.04 / 4 + 0.96 * said)
  }
}
weight <- exp(chance - max(chance))
weight <- weight / sum(weight)
for (figure in 1:2) {
  sums <- tapply(weight, pots[, figure], sum)
  at <- as.numeric(names(sums))
  step <- at[2] - at[1]
  below <- cumsum(sums)
  quantile <- function(p) approx(c(0, below), c(at[1] - step / 2, at + step / 2), p, ties = "ordered")$y
  cat(sprintf("%.5f %.5f %.5f %.5f\n", sum(sums * at), quantile(0.1), quantile(0.5), quantile(0.9)))
}
