package bid

import "bentside/pricing/odds"

// Unfit returns the probability that a way proves a donor, by the wear.
func Unfit(in Inputs, w WayResult) *odds.ByWear { return in.given(w, "").Unfit }
