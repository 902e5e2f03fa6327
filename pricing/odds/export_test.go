package odds

// StratumProbability returns the probability of a stratum; all of them add up to one.
func StratumProbability(i int) float64 { return strata[i].probability }
