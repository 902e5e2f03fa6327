package netfile

import (
	"archive/tar"
	"compress/gzip"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"

	"bentside/schedule/rcpsp"
)

// Files larger than MaxFileBytes, and archives of more than MaxFiles files or MaxArchiveBytes in
// all, are refused; nothing published comes near.
const (
	MaxFileBytes    = 16 << 20
	MaxArchiveBytes = 64 << 20
	MaxFiles        = 100_000
)

// ErrUnknownFormat is returned for a name that doesn't end in .sm, .rcp, .sch, .tar.gz or .tgz.
var ErrUnknownFormat = errors.New("the name must end in .sm, .rcp, .sch, .tar.gz or .tgz")

// Parse reads one instance. The extension of name decides the format, and name without folder and
// extension becomes the problem's.
func Parse(name string, data []byte) (*rcpsp.Problem, error) {
	ext := path.Ext(name)
	read := map[string]func(*lines, *rcpsp.Problem) error{
		".sm": singleMode, ".rcp": patterson, ".sch": generalised,
	}[ext]
	if read == nil {
		return nil, fmt.Errorf("%s: %w", name, ErrUnknownFormat)
	}
	p := &rcpsp.Problem{Name: strings.TrimSuffix(path.Base(name), ext)}
	if err := read(&lines{name: name, rest: string(data)}, p); err != nil {
		return nil, err
	}
	return p, nil
}

// Instance is one problem of a file or archive, with the folder it was in.
type Instance struct {
	Folder  string
	Problem *rcpsp.Problem
}

// Read returns all instances of a file, in the archive's order if it is one. Members of other
// formats are skipped; an archive without any instance is an error.
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

// capped reads at most limit bytes.
type capped struct {
	name  string
	r     io.Reader
	limit int64 // bytes in all
	read  int64
}

func (c *capped) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	if c.read += int64(n); c.read > c.limit {
		reason := fmt.Sprintf("must not be larger than %d bytes", c.limit)
		return 0, &FormatError{File: c.name, Reason: reason}
	}
	return n, err
}

func readAll(name string, r io.Reader) ([]byte, error) {
	data, err := io.ReadAll(&capped{name: name, r: r, limit: MaxFileBytes})
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	return data, nil
}

func readArchive(name string, r io.Reader) ([]Instance, error) {
	unzipped, err := gzip.NewReader(r)
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	whole := &capped{name: name, r: unzipped, limit: MaxArchiveBytes}
	out, err := readMembers(tar.NewReader(whole))
	if err == nil {
		// The checksum of all members follows the end of the archive.
		_, err = io.Copy(io.Discard, whole)
	}
	if err != nil {
		return nil, fmt.Errorf("read %s: %w", name, err)
	}
	if len(out) == 0 {
		return nil, &FormatError{File: name, Reason: "the archive must have an instance"}
	}
	return out, nil
}

func readMembers(members *tar.Reader) ([]Instance, error) {
	var out []Instance
	for files := 0; ; files++ {
		header, err := members.Next()
		if errors.Is(err, io.EOF) {
			return out, nil
		}
		if err != nil {
			return nil, err
		}
		if files >= MaxFiles {
			return nil, &FormatError{
				File:   header.Name,
				Reason: fmt.Sprintf("the archive must not have more than %d files", MaxFiles),
			}
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
}
