// Package plan puts scopes and jobs on the calendar: it builds the network of activities with the
// people, stations and parts that each needs, has package schedule plan it among the jobs in
// progress, and explains each date by the chain of reasons back to now.
//
// It doesn't decide which work is to be done (package scope) nor what was promised (package job).
// The search for a plan and its verification belong to package schedule, which knows nothing of
// pianos.
package plan
