// Package job decides what may happen to an accepted scope: booking hours, suspending and resuming
// work, changing the job for what strip-down brings to light once that is agreed to, quoting and
// promising, agreeing on spending limits, taking over jobs that were begun elsewhere, and finding a
// way out of a job that no longer pays.
//
// It doesn't decide when the work is done (package plan). Package bid is its neighbour, and neither
// imports the other.
package job
