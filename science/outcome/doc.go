// Package outcome learns from how past recoveries ended: how long a first root
// takes here, how many plants come through, and whether one practice does
// better than another or there are not enough plants to tell.
//
// A grower does not see a root break. It was not there at one look and is
// there at the next, so a [Recovery] holds an interval (after, by] in days
// since the repot. A plant still without roots, or given away, has an interval
// without an end; a plant that died can no longer root. The chapter has four
// parts:
//
//   - one group of plants: [KaplanMeier], [NelsonAalen] and [Curve.RestrictedMean]
//     where the day is known, [Turnbull] and [TurnbullBand] where only the
//     interval is, [AalenJohansen] where plants died;
//   - two groups: [LogRank], [RestrictedMeanDifference], [CompareShares], with a
//     [Verdict] that may be "not enough plants to tell" and says how many more
//     would tell, and [Imbalances] naming what else differed between the groups;
//   - many practices with few plants each: [FitPrior] and [ShrinkShares] for
//     shares, [ShrinkEffects] and [JamesStein] for differences;
//   - a weak prior that own records replace: [LogNormalPrior] for days,
//     [RatePrior] for events per plant-day.
//
// It follows J. D. Kalbfleisch and R. L. Prentice, The Statistical Analysis of
// Failure Time Data (2nd edition, 2002); B. W. Turnbull, Journal of the Royal
// Statistical Society B 38:290–295 (1976), with the computation of J. A.
// Wellner and Y. Zhan, Journal of the American Statistical Association
// 92:945–959 (1997); and B. Efron and C. Morris, Journal of the American
// Statistical Association 70:311–319 (1975), all from memory.
//
// Valid range: days from 0 to [LatestDay]. Looks must not be timed by what the
// plant was doing, and a plant given away must have been as likely to root as
// one that stayed; no method here can see if that fails. Units of time are
// free so long as they are the same throughout.
//
// Not modelled: regression on several covariates at once; plants that rooted
// unseen and then died between two looks; dependence between divisions of one
// plant; causes. A difference between practices that were not assigned by lot
// is a difference, not an effect.
package outcome
