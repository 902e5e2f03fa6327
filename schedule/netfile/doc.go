// Package netfile reads published project-scheduling instances.
//
// Three text formats are known by their ending: .sm (single mode, also several
// projects merged into one network), .rcp (numbers only) and .sch (minimum and
// maximum lags between starts). Each may lie in a .tar.gz. Every reader returns
// a problem or a [*FormatError] that names file and line; sizes are bounded, so
// a garbled or hostile file costs at most what its own bytes cost.
//
//	instances, err := netfile.Read("j30.tar.gz", file)
//
// The package does not judge a problem: whether demands fit and links agree is
// found by rcpsp.
package netfile
