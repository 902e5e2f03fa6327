package pglocal

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
)

// pidFile is what postmaster.pid says about the server. Its lines are, from 1: process id, data
// folder, start time, port, socket folder, listen address, shared memory key, status. The
// postmaster creates the file as it starts and adds lines as it learns them.
type pidFile struct {
	pid       int
	socketDir string // "" until known
	ready     bool
}

func (st *site) pidFilePath() string { return filepath.Join(st.cluster(), "postmaster.pid") }

// readPidFile returns the pid file, and false if there is none or it holds no process id yet.
func (st *site) readPidFile() (pidFile, bool) {
	text, err := os.ReadFile(st.pidFilePath())
	if err != nil {
		return pidFile{}, false
	}
	lines := strings.Split(string(text), "\n")
	line := func(n int) string {
		if n > len(lines) {
			return ""
		}
		return strings.TrimSpace(lines[n-1])
	}
	pid, err := strconv.Atoi(line(1))
	if err != nil || pid <= 0 {
		return pidFile{}, false
	}
	return pidFile{pid: pid, socketDir: line(5), ready: line(8) == "ready"}, true
}
