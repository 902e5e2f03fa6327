// Package instrument decides what a piano is and how much of it there is: which records make sense,
// the take-off (every quantity that work scales with, with its basis and formula), the working
// scale and the load of its strings, and where the piano stands with the workshop.
//
// A measurement goes before any formula. The physics of strings is package stringing's; what the
// quantities cost is package scope's and pricing's.
package instrument
