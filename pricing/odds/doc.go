// Package odds computes with amounts of money that are not known yet: what they come to on average,
// how far they spread, and how likely they are to pass a limit.
//
// The model. A [Distribution] is probability on a grid of whole minor units: an origin, a step, and
// the mass at each of at most [MaxPoints] points. It is made certain ([Certain]) or from three
// points ([PERT]), and put together: one of several with given weights ([Mixture]), several
// independent ones added ([Sum]), moved and stretched ([Distribution.Shift], [Distribution.Scale]).
// [Pair.Beyond] asks how likely one amount is to pass a limit that another one sets.
//
// Invariants:
//   - the masses are not negative and add up to one; the mean of what is put together is what the
//     means say;
//   - a distribution that needs more than MaxPoints points gets a wider step, and mass that falls
//     between two points is split between them so that the mean stays. The shape is then true to
//     within a step, under 1/2000 of its range, and its standard deviation is never too small;
//   - the same input gives the same bits on every machine: no randomness, no order taken from a
//     map, and of floating point only sums, products, quotients and square roots, which IEEE 754
//     defines to the last bit. Each product is converted by name, which forbids the compiler to
//     fuse it with a sum;
//   - chances come out as decimals of [ChancePlaces] places and amounts in whole minor units, so
//     that what is shown and what is decided by it are one figure.
//
// This is the one package below pricing in which floats are allowed: a probability is a statistic,
// and no amount that is owed or posted passes through here.
//
// An example: how likely is the work to cost more than 2000.00, if a third of the time a plank of
// 900 to 1600 is needed?
//
//	plank, err := odds.PERT(low, likely, high)
//	maybe, err := odds.Mixture(odds.Weighted{Weight: third, Of: plank}, odds.Weighted{Weight: rest, Of: odds.Certain(nothing)})
//	work, err := odds.Sum(eur, certain, maybe)
//	chance := work.Exceeds(limit)
//
// Amounts of one job go together, since a worn instrument is worn everywhere. [SumTied] adds up the
// pieces of a job with a factor of the job and one of each group of work, and with worlds that are
// as likely as the wear makes them; [Tie] lets a sale fall as the wear rises. See wear.go for the
// model.
//
// The package doesn't know lines of work, sales or taxes and draws no random numbers.
package odds
