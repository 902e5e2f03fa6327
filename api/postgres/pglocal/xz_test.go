package pglocal_test

import (
	"encoding/binary"
	"hash/crc32"
)

// storedXZ wraps data in the .xz format without compressing it, since the standard library has no
// writer for it. Layout: "The .xz File Format", version 1.2.1 (tukaani.org), sections 2 and 3;
// LZMA2 chunks as its section 5.3.1 and the format's reference decoder read them: control byte 1
// (uncompressed, resets the dictionary) or 2 (goes on), the size less one as two bytes, the data; 0
// ends the chunks.
func storedXZ(data []byte) []byte {
	var blockData []byte
	for rest, control := data, byte(1); len(rest) > 0; control = 2 {
		n := min(len(rest), 1<<16)
		blockData = append(blockData, control)
		blockData = binary.BigEndian.AppendUint16(blockData, uint16(n-1))
		blockData = append(blockData, rest[:n]...)
		rest = rest[n:]
	}
	blockData = append(blockData, 0)

	flags := []byte{0, 1} // checks are CRC32
	out := append([]byte{0xfd, '7', 'z', 'X', 'Z', 0}, flags...)
	out = appendCRC(out, flags)

	// (2+1)·4 bytes; one filter: LZMA2, one property: 8 MiB dictionary
	header := []byte{2, 0, 0x21, 1, 22, 0, 0, 0}
	out = appendCRC(append(out, header...), header)
	unpadded := len(header) + 4 + len(blockData) + 4
	out = pad(append(out, blockData...), len(blockData))
	out = appendCRC(out, data)

	index := binary.AppendUvarint([]byte{0, 1}, uint64(unpadded))
	index = binary.AppendUvarint(index, uint64(len(data)))
	index = pad(index, len(index))
	out = appendCRC(append(out, index...), index)

	footer := binary.LittleEndian.AppendUint32(nil, uint32((len(index)+4)/4-1))
	footer = append(footer, flags...)
	out = appendCRC(out, footer)
	return append(append(out, footer...), 'Y', 'Z')
}

func appendCRC(out, of []byte) []byte {
	return binary.LittleEndian.AppendUint32(out, crc32.ChecksumIEEE(of))
}

// pad adds zeros until n, the length of what out ends with, is a multiple of four.
func pad(out []byte, n int) []byte { return append(out, make([]byte, (4-n%4)%4)...) }
