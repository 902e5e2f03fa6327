package media

import (
	"bytes"
	"fmt"
	"strings"
	"sync"

	"bentside/domain/sheet"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/sfnt"
)

// The page of a sheet in print, in points: A4 with a margin that every printer leaves.
const (
	pageWidth, pageHeight = 595.28, 841.89
	pageMargin            = 40
	hang                  = 9     // of a line's continuation
	nameWidth             = 160   // of the first column of a table
	cellWidth             = 118.4 // three of them fill the page
	largestType           = 10.25
	smallestType          = 4
	leading               = 1.28 // lines, as a multiple of the type
)

// PDF sets a sheet on one page of A4, in the largest type in which it fits. The same sheet
// gives the same bytes.
func PDF(s sheet.Sheet) ([]byte, error) {
	for size := largestType; ; size -= 0.25 {
		p := newPrinter(s, size)
		p.sheet(s)
		if p.GetY() > pageHeight-pageMargin && size > smallestType {
			continue
		}
		var out bytes.Buffer
		if err := p.Output(&out); err != nil {
			return nil, fmt.Errorf("print the sheet: %w", err)
		}
		return out.Bytes(), nil
	}
}

// printer is a page being set.
type printer struct {
	*fpdf.Fpdf
	size float64
}

func newPrinter(s sheet.Sheet, size float64) printer {
	p := printer{fpdf.New("P", "pt", "A4", ""), size}
	p.SetTitle(s.Title, true)
	p.SetLang("en")
	p.SetCreationDate(s.At)
	p.SetModificationDate(s.At)
	p.SetCatalogSort(true)
	p.SetMargins(pageMargin, pageMargin, pageMargin)
	p.SetAutoPageBreak(false, 0)
	p.AddUTF8FontFromBytes("go", "", goregular.TTF)
	p.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	p.SetDrawColor(160, 160, 160)
	p.AddPage()
	return p
}

func (p printer) height() float64 { return p.size * leading }

func (p printer) sheet(s sheet.Sheet) {
	p.SetFont("go", "B", p.size*1.5)
	p.line(0, s.Title, p.height()*1.5)
	p.SetFont("go", "", p.size)
	for _, x := range s.Head {
		p.text(x, 0)
	}
	for _, section := range s.Sections {
		p.heading(section.Title)
		p.table(section.Table)
		for _, x := range section.Lines {
			p.text(x, hang)
		}
	}
	p.SetY(p.GetY() + p.height()*0.7)
	for _, x := range s.Foot {
		p.text(x, 0)
	}
}

func (p printer) heading(title string) {
	p.SetY(p.GetY() + p.height()*0.6)
	p.SetFont("go", "B", p.size)
	p.line(0, title, p.height()*1.1)
	p.Line(pageMargin, p.GetY(), pageWidth-pageMargin, p.GetY())
	p.SetY(p.GetY() + p.height()*0.2)
	p.SetFont("go", "", p.size)
}

// text sets a text in as many lines as it takes; all but the first hang.
func (p printer) text(text string, hang float64) {
	in := 0.0
	for _, line := range p.SplitText(printable(text), pageWidth-2*pageMargin-hang) {
		p.line(in, line, p.height())
		in = hang
	}
}

func (p printer) line(in float64, text string, height float64) {
	p.SetX(pageMargin + in)
	p.CellFormat(0, height, printable(text), "", 1, "L", false, 0, "")
}

// table sets names to the left and what they name to the right, the head in bold.
func (p printer) table(table [][]string) {
	for i, row := range table {
		if i == 0 {
			p.SetFont("go", "B", p.size)
		}
		for j, cell := range row {
			width, align := float64(cellWidth), "R"
			if j == 0 {
				width, align = nameWidth, "L"
			}
			p.CellFormat(width, p.height(), printable(cell), "", 0, align, false, 0, "")
		}
		p.Ln(p.height())
		p.SetFont("go", "", p.size)
	}
}

// typeface is read for the signs that it has. It ships with its module, so it can be read.
var typeface = sync.OnceValue(func() *sfnt.Font {
	f, err := sfnt.Parse(goregular.TTF)
	if err != nil {
		panic(fmt.Sprintf("read the typeface: %v", err))
	}
	return f
})

// printable puts a question mark for each sign that the typeface lacks; some of them the library
// can't print at all.
func printable(text string) string {
	var buffer sfnt.Buffer
	return strings.Map(func(r rune) rune {
		if glyph, err := typeface().GlyphIndex(&buffer, r); err != nil || glyph == 0 {
			return '?'
		}
		return r
	}, text)
}
