package main

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"unsafe"
)

// pseudoTerminal opens both ends of a terminal: what is written to the program's end is read at
// ours, as a person would see it.
func pseudoTerminal(t *testing.T) (ours, program *os.File) {
	t.Helper()
	ours, err := os.OpenFile("/dev/ptmx", os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = ours.Close() })
	unlocked, number := int32(0), uint32(0)
	for _, call := range []struct {
		request uintptr
		value   unsafe.Pointer
		//nolint:gosec // as ioctl wants it
	}{
		{syscall.TIOCSPTLCK, unsafe.Pointer(&unlocked)},
		{syscall.TIOCGPTN, unsafe.Pointer(&number)},
	} {
		if _, _, fault := syscall.Syscall(syscall.SYS_IOCTL, ours.Fd(), call.request,
			uintptr(call.value)); fault != 0 {
			t.Fatal(fault)
		}
	}
	program, err = os.OpenFile(fmt.Sprint("/dev/pts/", number), os.O_RDWR|syscall.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	return ours, program
}

func TestATerminalShowsHowManyArePlanned(t *testing.T) {
	t.Parallel()
	ours, program := pseudoTerminal(t)
	if !isTerminal(program) {
		t.Error("a terminal is not recognised")
	}
	cmd := exec.CommandContext(t.Context(), os.Args[0], "--schedules", "5",
		write(t, "first.rcp", pairText), write(t, "second.rcp", pairText))
	cmd.Env = append(os.Environ(), "NETBENCH_AS_COMMAND=1")
	cmd.Stderr = program
	if err := cmd.Run(); err != nil {
		t.Fatal(err)
	}
	shown := bufio.NewReader(ours)
	// the terminal itself returns at the end of a line
	for _, want := range []string{"planned 1 of 2\r", "planned 2 of 2\r\n"} {
		got, err := shown.ReadString(want[len(want)-1])
		if err != nil || !strings.HasSuffix(got, want) {
			t.Errorf("the terminal shows %q, want %q: %v", got, want, err)
		}
	}
	if err := program.Close(); err != nil {
		t.Error(err)
	}
}
