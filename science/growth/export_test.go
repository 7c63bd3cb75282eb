package growth

// The checks look at these steps of longer calculations.
var (
	PoolAt        = poolAt
	ChanceOfScore = chanceOfScore
	ChanceSettles = Judge.chanceSettles
)
