//go:build !linux

package app

// lowerThread does nothing: only on Linux has each thread a priority that is easily set.
func lowerThread() {}
