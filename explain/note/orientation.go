package note

import (
	"bytes"
	"encoding/binary"
)

// orientation reads how a JPEG or PNG is to be turned: the tag 0x0112 of its
// EXIF data (CIPA DC-008, 4.6.4), 1 to 8; 1 where there is none.
func orientation(raw []byte) int {
	for _, tiff := range exifOf(raw) {
		if n := orientationOf(tiff); n != 0 {
			return n
		}
	}
	return 1
}

// exifOf finds the TIFF blocks of EXIF data: the APP1 segments of a JPEG before
// its scan, the eXIf chunk of a PNG.
func exifOf(raw []byte) [][]byte {
	var out [][]byte
	if png := []byte("\x89PNG\r\n\x1a\n"); bytes.HasPrefix(raw, png) {
		for at := len(png); at+8 <= len(raw); {
			n := int(binary.BigEndian.Uint32(raw[at:]))
			kind := string(raw[at+4 : at+8])
			if n < 0 || n > len(raw)-at-8 {
				break
			}
			if kind == "eXIf" {
				out = append(out, raw[at+8:at+8+n])
			}
			at += 8 + n + 4 // its checksum
		}
		return out
	}
	for at := 2; at+4 <= len(raw) && raw[at] == 0xff; {
		marker := raw[at+1]
		if marker == 0xff { // fill
			at++
			continue
		}
		n := int(binary.BigEndian.Uint16(raw[at+2:]))
		if marker == 0xda || n < 2 || at+2+n > len(raw) {
			break
		}
		if data := raw[at+4 : at+2+n]; marker == 0xe1 && bytes.HasPrefix(data, []byte("Exif\x00\x00")) {
			out = append(out, data[6:])
		}
		at += 2 + n
	}
	return out
}

// orientationOf reads the tag from the first directory of a TIFF block, 0 if it
// is not there or makes no sense.
func orientationOf(tiff []byte) int {
	if len(tiff) < 8 {
		return 0
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 0
	}
	at := int64(order.Uint32(tiff[4:]))
	if at < 8 || at+2 > int64(len(tiff)) {
		return 0
	}
	count := int64(order.Uint16(tiff[at:]))
	for i := range count {
		entry := at + 2 + 12*i
		if entry+12 > int64(len(tiff)) {
			return 0
		}
		e := tiff[entry:]
		const short = 3
		if order.Uint16(e) == 0x0112 && order.Uint16(e[2:]) == short && order.Uint32(e[4:]) == 1 {
			if n := int(order.Uint16(e[8:])); n >= 1 && n <= 8 {
				return n
			}
			return 0
		}
	}
	return 0
}
