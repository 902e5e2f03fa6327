// Package netfile reads published project-scheduling instances.
//
// Three text formats are known by their extension: .sm (single mode, also several projects merged
// into one network), .rcp (numbers only) and .sch (minimum and maximum lags between starts). Each
// may be in a .tar.gz. Every reader returns a problem or a [*FormatError] that names file and line;
// sizes are bounded, so a garbled or hostile file costs at most what its own bytes cost.
//
//	instances, err := netfile.Read("j30.tar.gz", file)
//
// It does not decide whether a problem makes sense: package rcpsp finds out whether demands fit and
// links agree.
package netfile
