package turns

import "syscall"

// niceness is that of a computation: about a tenth of the share of a thread that wants a processor
// at the same time, so that computations go on under any load of cheap requests.
const niceness = 10

// lowerThread lowers the priority of the calling thread, which on Linux each has for itself.
func lowerThread() {
	_ = syscall.Setpriority(syscall.PRIO_PROCESS, 0, niceness) // refused, it computes all the same
}
