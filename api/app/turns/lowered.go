package turns

import (
	"fmt"
	"runtime"
	"runtime/debug"
)

// loweredPanic is a panic on a lowered thread, with its stack, which is lost when it is raised
// again.
type loweredPanic struct {
	value any
	stack []byte
}

func (p *loweredPanic) Error() string {
	return fmt.Sprintf("%v, in a computation:\n%s", p.value, p.stack)
}

// Lowered runs f on a thread of its own that the system passes over while others want a processor,
// so that requests which compute nothing don't wait behind it. A panic of f is raised again.
//
// The thread ends with f: most systems let a process lower a thread's priority and not raise it.
func Lowered(f func()) {
	ended := make(chan *loweredPanic)
	go func() {
		runtime.LockOSThread() // for good, which is what ends the thread
		var raised *loweredPanic
		defer func() {
			if v := recover(); v != nil {
				raised = &loweredPanic{v, debug.Stack()}
			}
			ended <- raised
		}()
		lowerThread()
		f()
	}()
	if raised := <-ended; raised != nil {
		panic(raised)
	}
}
