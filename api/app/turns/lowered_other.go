//go:build !linux

package turns

// lowerThread does nothing: only on Linux has each thread a priority that is easily set.
func lowerThread() {}
