package middleware

import (
	"bytes"
	"encoding/json"
	"strconv"

	"bentside/api/problem"
)

// checkMembersOnce refuses a JSON body in which an object has two members of one name, since
// readers differ in which of them counts (RFC 8259, section 4). The body must be JSON.
func checkMembersOnce(data []byte) error {
	dec := json.NewDecoder(bytes.NewReader(data))
	dec.UseNumber()
	var open []*container
	for {
		token, err := dec.Token()
		if err != nil {
			return nil //nolint:nilerr // the end: it was decoded before
		}
		var in *container
		if n := len(open); n > 0 {
			in = open[n-1]
		}
		delimiter, is := token.(json.Delim)
		switch {
		case is && (delimiter == '}' || delimiter == ']'):
			open = open[:len(open)-1]
			continue
		case in != nil && in.names != nil && !in.valueNext:
			name, _ := token.(string)
			in.at, in.valueNext = in.base+"/"+problem.EscapePointer(name), true
			if in.names[name] {
				return problem.RefuseField(in.at, "is in the body twice")
			}
			in.names[name] = true
			continue
		}
		at := "#"
		if in != nil {
			at = in.next()
		}
		if !is {
			continue
		}
		c := &container{base: at}
		if delimiter == '{' {
			c.names = map[string]bool{}
		}
		open = append(open, c)
	}
}

// container is an object or a list that is being read.
type container struct {
	base      string          // pointer to it
	names     map[string]bool // of its members so far; nil: a list
	at        string          // pointer to the member that is read
	valueNext bool            // whether its value comes next
	element   int             // of a list
}

// next returns the pointer to the value that comes now.
func (c *container) next() string {
	if c.names != nil {
		c.valueNext = false
		return c.at
	}
	c.element++
	return c.base + "/" + strconv.Itoa(c.element-1)
}
