package turns_test

import (
	"errors"
	"os"
	"runtime"
	"strings"
	"testing"

	"bentside/api/app/turns"
)

func TestAComputationHasALowerPriorityThanTheRequestsBesideIt(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("only Linux has a priority for each thread")
	}
	if nicenessOf(t) == "10" {
		t.Skip("the test itself runs at the priority of a computation")
	}
	within := ""
	turns.Lowered(func() { within = nicenessOf(t) })
	if within != "10" {
		t.Errorf("a computation has niceness %s, want 10", within)
	}
	for range 100 { // that it is on no other thread
		done := make(chan string)
		go func() { done <- nicenessOf(t) }()
		if got := <-done; got == "10" {
			t.Fatal("what runs after a computation has its priority")
		}
	}
}

// nicenessOf returns the niceness of the calling thread.
func nicenessOf(t *testing.T) string {
	t.Helper()
	stat, err := os.ReadFile("/proc/thread-self/stat")
	if err != nil {
		t.Error(err)
		return ""
	}
	_, rest, _ := strings.Cut(string(stat), ") ")
	return strings.Fields(rest)[16]
}

func TestAPanicOfAComputationIsRaisedInItsRequestWithTheStack(t *testing.T) {
	t.Parallel()
	defer func() {
		err, _ := recover().(error)
		if err == nil || !strings.Contains(err.Error(), "a broken string") ||
			!strings.Contains(err.Error(), "lowered_test.go") {
			t.Errorf("got %v, want the panic with the place where it happened", err)
		}
	}()
	turns.Lowered(func() { panic(errors.New("a broken string")) })
}
