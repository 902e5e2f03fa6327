// Command netbench schedules published project-scheduling instances and reports how good the plans
// are.
//
//	netbench [--heuristic] [--schedules N] [--seed S] [--workers W] [--best FILE.csv] [--json] FILES…
//
// FILES are single instances or .tar.gz archives of them, in the formats that package netfile
// reads. --schedules is the whole budget of an instance, exact search and proof included;
// --heuristic leaves those two out. --workers is the number of cores, used for several instances at
// once and, if there are fewer, for several searches within one; rows come in the order of the
// files and, except for seconds, don't depend on it.
//
// The table given by --best has a row for each instance, with the column instance, its best
// makespan in upper_bound, optimum or reference_makespan, and optionally set (the folder of the
// instance), status (infeasible), lower_bound (no plan is below it, nor below an optimum) and
// cpm_lower_bound or temporal_lower_bound (longest path without resources).
//
// Package verify checks every plan. Exit status 1 means that a plan was refused, that a result
// contradicts the table (which the solver never sees), that the table names none of the instances,
// that something could not be read or scheduled, in which case the other rows are printed all the
// same, or that the run was interrupted.
//
// With --json each instance is one object with instance, makespan (0 without a plan), lower_bound,
// best (0 without a table), cpm (longest path without resources), schedules, seconds, proven
// (optimal, or proved to have no plan) and feasible; the last line is {"summary": {…}}.
//
// It does not choose what counts as good: a table gives the makespans to compare with.
package main
