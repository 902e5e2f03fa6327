// Package demo tells a story through package app: a workshop with work on its
// benches, and the hour in which its buyer stands before a worn grand.
//
// Everything in it is invented: makers, people, places. Nothing is inserted
// behind the use cases, so the story cannot break an invariant, and it serves
// as an end-to-end test too. It is told on a fixed day, so that it comes out
// the same every time.
package demo
