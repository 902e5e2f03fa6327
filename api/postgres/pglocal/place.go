package pglocal

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
)

// recordPlace records where the server is being started.
func (st *site) recordPlace() error {
	here, err := processSpace()
	if err != nil {
		return err
	}
	f, err := st.open("place", os.O_WRONLY)
	if err != nil {
		return err
	}
	err = f.Truncate(0)
	if err == nil {
		_, err = fmt.Fprintln(f, here)
	}
	return errors.Join(err, f.Close())
}

// checkPlace guards a folder that another process uses although no server is visible. If the server
// was started here, it has crashed and may be started again. If it was started elsewhere, in
// another container that mounts the same folder, its processes are out of sight, and a second
// server would destroy the data.
func (st *site) checkPlace() error {
	there, err := os.ReadFile(st.file("place"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	here, err := processSpace()
	if err != nil {
		return err
	}
	if strings.TrimSpace(string(there)) != here {
		return errors.New("the folder is in use by a server on another machine or in another container")
	}
	return nil
}
