// Package crew runs parts of a computation at the same time and lets no panic of theirs end the
// program: it is raised again where the parts are waited for, in the goroutine of the request,
// whose door turns it into an answer and a line in the log.
//
//	var g crew.Group
//	g.Go(func() { half(left) })
//	g.Go(func() { half(right) })
//	g.Wait()
package crew

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Group is a number of functions that run at the same time. Its zero value is ready to use.
type Group struct {
	wait  sync.WaitGroup
	mu    sync.Mutex
	first *Panic
}

// Panic is a panic of a worker, with the worker's stack, which is lost when it is raised again.
type Panic struct {
	Value any
	Stack []byte
}

func (p *Panic) Error() string {
	return fmt.Sprintf("%v, in a worker:\n%s", p.Value, p.Stack)
}

// Go runs f in a goroutine of its own.
func (g *Group) Go(f func()) {
	g.wait.Go(func() {
		defer g.note()
		f()
	})
}

// note keeps the first panic of the workers.
func (g *Group) note() {
	v := recover()
	if v == nil {
		return
	}
	g.mu.Lock()
	defer g.mu.Unlock()
	if g.first == nil {
		g.first = &Panic{v, debug.Stack()}
	}
}

// Wait returns when all functions have returned. If one of them panicked, so does Wait, with a
// *Panic.
func (g *Group) Wait() {
	g.wait.Wait()
	if g.first != nil {
		panic(g.first)
	}
}
