// Package demo tells a story through package app: a workshop has pianos on its benches, and its
// buyer is looking at a worn grand.
//
// Makers, people and places are invented. Everything goes through the use cases, so the story can't
// break an invariant, and it doubles as an end-to-end test. It is told on a fixed day and comes out
// the same every time.
package demo
