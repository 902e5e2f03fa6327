package netfile

import (
	"archive/tar"
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"bentside/schedule/rcpsp"
)

// A file larger than MaxFileBytes, or an archive of more than MaxFiles files or
// MaxArchiveBytes in all, is refused: nothing published comes near.
const (
	MaxFileBytes    = 16 << 20
	MaxArchiveBytes = 256 << 20
	MaxFiles        = 100_000
)

// ErrUnknownFormat is returned for a name that ends in none of .sm, .rcp, .sch,
// .tar.gz or .tgz.
var ErrUnknownFormat = errors.New("unknown file format")

// Parse reads one instance; the ending of name decides the format and the name
// without folder and ending becomes the problem's.
func Parse(name string, data []byte) (*rcpsp.Problem, error) {
	ext := path.Ext(name)
	bare := strings.TrimSuffix(path.Base(name), ext)
	switch ext {
	case ".sm":
		return singleMode(bare, data)
	case ".rcp":
		return patterson(bare, data)
	case ".sch":
		return generalised(bare, data)
	}
	return nil, fmt.Errorf("%s: %w", name, ErrUnknownFormat)
}

// Instance is one problem of a file or archive with the folder it lay in.
type Instance struct {
	Folder  string
	Problem *rcpsp.Problem
}

// Read returns all instances of a file, in the archive's order when it is one.
// Members of other formats are left out; an archive without any instance is an
// error.
func Read(name string, r io.Reader) ([]Instance, error) {
	if strings.HasSuffix(name, ".tar.gz") || strings.HasSuffix(name, ".tgz") {
		return readArchive(name, r)
	}
	data, err := readAll(name, r)
	if err != nil {
		return nil, err
	}
	p, err := Parse(name, data)
	if err != nil {
		return nil, err
	}
	return []Instance{{Problem: p}}, nil
}

func readAll(name string, r io.Reader) ([]byte, error) {
	var buf bytes.Buffer
	n, err := io.Copy(&buf, io.LimitReader(r, MaxFileBytes+1))
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if n > MaxFileBytes {
		return nil, &FormatError{File: name, Reason: "larger than any instance can be"}
	}
	return buf.Bytes(), nil
}

func readArchive(name string, r io.Reader) ([]Instance, error) {
	unzipped, err := gzip.NewReader(r)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	members := tar.NewReader(io.LimitReader(unzipped, MaxArchiveBytes))
	var out []Instance
	for files := 0; ; files++ {
		header, err := members.Next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("read %s: %w", name, err)
		}
		if files >= MaxFiles {
			return nil, &FormatError{File: name, Reason: "too many files in the archive"}
		}
		switch path.Ext(header.Name) {
		case ".sm", ".rcp", ".sch":
		default:
			continue
		}
		data, err := readAll(header.Name, members)
		if err != nil {
			return nil, err
		}
		p, err := Parse(header.Name, data)
		if err != nil {
			return nil, err
		}
		out = append(out, Instance{Folder: path.Base(path.Dir(header.Name)), Problem: p})
	}
	if len(out) == 0 {
		return nil, &FormatError{File: name, Reason: "no instance in the archive"}
	}
	return out, nil
}
