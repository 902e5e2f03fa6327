package main

import (
	"fmt"
	"io"
	"os"
	"sync"
)

// isTerminal reports whether somebody may be watching w.
func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	if !ok {
		return false
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice != 0
}

// counter returns a function that overwrites one line with how many of total are done. It may be
// called from several goroutines.
func counter(w io.Writer, total int) func() {
	var lock sync.Mutex
	finished := 0
	return func() {
		lock.Lock()
		defer lock.Unlock()
		finished++
		end := "\r"
		if finished == total {
			end = "\n"
		}
		fmt.Fprintf(w, "planned %d of %d%s", finished, total, end)
	}
}
