// Package verify decides whether a plan of the workshop keeps every rule of its problem: dates that
// agree with the calendar, links, windows, capacities, states, exclusions, floor places and the
// cost it states.
//
//	if found := verify.Plan(problem, plan); len(found) > 0 { … }
//
// It reads the problem as it was given and uses exported names of package schedule only. It shares
// no code with the planner or the critical path and works by other methods: it counts ticks and
// minutes between dates and adds up what is in use wherever a use begins. A plan that the planner
// believes in and this package refuses is a defect of one of them, and must not be kept.
//
// It does not judge how good a plan is, nor whether its reasons, floats and late dates are right.
package verify
