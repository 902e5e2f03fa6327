package pgtest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"time"
)

// askKeeper connects to the keeper of this run, starting one if there is none, and waits for its
// server. The server is ours to use until the connection is closed.
func askKeeper(ctx context.Context) (offer, net.Conn, error) {
	run := os.Getppid() // the go command, which all test programs of one "go test" share
	socket := filepath.Join(os.TempDir(), fmt.Sprintf("bentside-pgtest-%d-%d.sock", os.Geteuid(), run))
	var started *startedKeeper
	var refused time.Time
	for {
		conn, err := dial(socket)
		switch {
		case err == nil:
			a, err := listen(ctx, conn)
			if err == nil && a.Error != "" {
				return offer{}, nil, errors.New(a.Error)
			}
			if err == nil {
				return a.Offer, conn, nil
			}
			conn.Close() // the keeper was about to end, so another is needed
		case errors.Is(err, syscall.ECONNREFUSED) && refused.IsZero():
			refused = time.Now()
		case errors.Is(err, syscall.ECONNREFUSED) && time.Since(refused) > time.Second:
			_ = os.Remove(socket) // left by a keeper that was killed
			refused = time.Time{}
		case errors.Is(err, fs.ErrNotExist) && (started == nil || started.ended()):
			if started != nil && started.err != nil {
				return offer{}, nil, started.err
			}
			if started, err = startKeeper(run, socket); err != nil {
				return offer{}, nil, fmt.Errorf("start a keeper: %w", err)
			}
		case !errors.Is(err, fs.ErrNotExist) && !errors.Is(err, syscall.ECONNREFUSED):
			return offer{}, nil, err
		}
		select {
		case <-ctx.Done():
			return offer{}, nil, fmt.Errorf("wait for the keeper of the test server: %w", ctx.Err())
		case <-time.After(20 * time.Millisecond):
		}
	}
}

// dial connects to a keeper of our own account. Anybody can write to the socket's folder.
func dial(socket string) (net.Conn, error) {
	info, err := os.Lstat(socket)
	if err != nil {
		return nil, err
	}
	if sys, ok := info.Sys().(*syscall.Stat_t); !ok || int(sys.Uid) != os.Geteuid() {
		return nil, fmt.Errorf("%s belongs to somebody else", socket)
	}
	return net.Dial("unix", socket)
}

// listen waits for the keeper's answer.
func listen(ctx context.Context, conn net.Conn) (answer, error) {
	if deadline, ok := ctx.Deadline(); ok {
		if err := conn.SetReadDeadline(deadline); err != nil {
			return answer{}, err
		}
	}
	var a answer
	err := json.NewDecoder(conn).Decode(&a)
	return a, err
}

// startedKeeper is a keeper that this program started.
type startedKeeper struct {
	done chan struct{}
	err  error // valid once done is closed; nil if it left the run to another keeper
}

func (k *startedKeeper) ended() bool {
	select {
	case <-k.done:
		return true
	default:
		return false
	}
}

// startKeeper runs this program again as a keeper, in a session of its own: it outlives us, and
// Ctrl-C at the terminal reaches it only when its users end. It must not hold our output open, or
// "go test" would wait for it.
func startKeeper(run int, socket string) (*startedKeeper, error) {
	self, err := os.Executable()
	if err != nil {
		return nil, err
	}
	output, err := os.CreateTemp("", "bentside-pgtest-*.log")
	if err != nil {
		return nil, err
	}
	_ = os.Remove(output.Name()) // both processes have it open, so nobody needs the name
	cmd := exec.Command(self)    //nolint:gosec // this program itself
	cmd.Env = append(os.Environ(), fmt.Sprintf("%s=%d %s", keeperVariable, run, socket))
	cmd.Dir = "/"
	cmd.Stdout, cmd.Stderr = output, output
	cmd.SysProcAttr = &syscall.SysProcAttr{Setsid: true}
	if err := cmd.Start(); err != nil {
		output.Close()
		return nil, err
	}
	k := &startedKeeper{done: make(chan struct{})}
	go func() {
		defer close(k.done)
		defer output.Close()
		if err := cmd.Wait(); err != nil {
			text, _ := io.ReadAll(io.NewSectionReader(output, 0, 64<<10))
			k.err = fmt.Errorf("the keeper of the test server: %w\n%s", err, text)
		}
	}()
	return k, nil
}
