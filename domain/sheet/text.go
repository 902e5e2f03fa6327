package sheet

import (
	"fmt"
	"strings"
	"unicode/utf8"
)

// indent stands before every line of a section, and continuation before what is wrapped.
const (
	indent       = "  "
	continuation = "    "
)

// Text returns the sheet in plain text, at most a page of it.
func (s Sheet) Text() string { return strings.Join(s.lines(), "\n") + "\n" }

func (s Sheet) height() int { return len(s.lines()) }

func (s Sheet) lines() []string {
	lines := wrap(strings.ToUpper(s.Title), "", "")
	for _, x := range s.Head {
		lines = append(lines, wrap(x, "", "")...)
	}
	for _, section := range s.Sections {
		lines = append(lines, "", strings.ToUpper(section.Title))
		lines = append(lines, tableLines(section.Table)...)
		for _, x := range section.Lines {
			lines = append(lines, wrap(x, indent, continuation)...)
		}
	}
	lines = append(lines, "")
	for _, x := range s.Foot {
		lines = append(lines, wrap(x, "", "")...)
	}
	return lines
}

// tableLines lines the columns of a table up: names to the left, what they name to the right.
func tableLines(table [][]string) []string {
	var widths []int
	for _, row := range table {
		for i, cell := range row {
			if i == len(widths) {
				widths = append(widths, 0)
			}
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	lines := make([]string, 0, len(table))
	for _, row := range table {
		line := indent
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i == 0 {
				line += cell + pad
			} else {
				line += indent + pad + cell
			}
		}
		lines = append(lines, strings.TrimRight(line, " "))
	}
	return lines
}

// wrap breaks a text into lines of the page's width at its spaces, and inside a word that is longer
// than a line.
func wrap(text, first, next string) []string {
	var lines []string
	line, empty := first, true
	for _, word := range strings.Fields(text) {
		for {
			room := pageColumns - utf8.RuneCountInString(line)
			if !empty {
				room--
			}
			if utf8.RuneCountInString(word) <= room {
				break
			}
			if empty {
				runes := []rune(word)
				line, word = line+string(runes[:room]), string(runes[room:])
			}
			lines = append(lines, line)
			line, empty = next, true
		}
		if !empty {
			line += " "
		}
		line, empty = line+word, false
	}
	return append(lines, line)
}

// cut makes texts fit into so many lines. Each is given least lines; what that leaves free goes to
// those that are cut short, in turns. Where there is no room for all, the last of them are counted
// in a line of their own.
func cut(texts []string, most, least int) []string {
	kept := make([]string, len(texts))
	heights, used := make([]int, len(texts)), 0
	for i, text := range texts {
		kept[i], heights[i] = shorten(text, least)
		used += heights[i]
	}
	n, rest := len(texts), 0
	for ; n > 0 && used+rest > most; n-- {
		used -= heights[n-1]
		rest = 1
	}
	for grown := true; grown; {
		grown = false
		for i := 0; i < n && used+rest < most; i++ {
			if longer, height := shorten(texts[i], heights[i]+1); height > heights[i] {
				kept[i], heights[i] = longer, height
				used, grown = used+1, true
			}
		}
	}
	if n < len(texts) {
		return append(kept[:n:n], fmt.Sprintf("and %d more", len(texts)-n))
	}
	return kept
}

// shorten cuts a text to so many lines, and returns how many it takes.
func shorten(text string, most int) (short string, height int) {
	const mark = " …"
	words := strings.Fields(text)
	for n := len(words); n > 0; n-- {
		short = strings.Join(words[:n], " ")
		if n < len(words) {
			short = strings.TrimRight(short, ",;:(") + mark
		}
		if height = len(wrap(short, indent, continuation)); height <= most {
			break
		}
	}
	return short, height
}
