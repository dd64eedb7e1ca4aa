package picture

import (
	"encoding/binary"
	"strings"
)

// orientation returns how a JPEG is to be turned, 1 to 8; 1 where it does not say
// so, or says it in a way that cannot be read. The number is in the segment APP1
// (ISO/IEC 10918-1, B.2.4.6) that begins with "Exif" (JEITA CP-3451, 4.7.2): a
// TIFF file whose first directory has it under tag 274.
func orientation(file []byte) int {
	if len(file) < 4 || file[0] != 0xff || file[1] != 0xd8 {
		return 1
	}
	for rest := file[2:]; len(rest) >= 4 && rest[0] == 0xff; {
		marker := rest[1]
		if marker == 0xff { // a fill byte
			rest = rest[1:]
			continue
		}
		if marker == 0xda || marker == 0xd9 { // the picture itself, or the end
			return 1
		}
		size := int(binary.BigEndian.Uint16(rest[2:]))
		if size < 2 || 2+size > len(rest) {
			return 1
		}
		body := rest[4 : 2+size]
		if marker == 0xe1 && strings.HasPrefix(string(body[:min(len(body), 6)]), "Exif\x00\x00") {
			return tiffOrientation(body[6:])
		}
		rest = rest[2+size:]
	}
	return 1
}

// tiffOrientation reads tag 274 of the first directory: TIFF 6.0, section 2.
func tiffOrientation(tiff []byte) int {
	if len(tiff) < 8 {
		return 1
	}
	var order binary.ByteOrder
	switch string(tiff[:4]) {
	case "II*\x00":
		order = binary.LittleEndian
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := uint64(order.Uint32(tiff[4:]))
	if at+2 > uint64(len(tiff)) {
		return 1
	}
	fields := tiff[at+2:]
	for range order.Uint16(tiff[at:]) {
		if len(fields) < 12 {
			return 1
		}
		const short = 3
		if order.Uint16(fields) == 274 && order.Uint16(fields[2:]) == short && order.Uint32(fields[4:]) == 1 {
			if n := int(order.Uint16(fields[8:])); n >= 1 && n <= 8 {
				return n
			}
			return 1
		}
		fields = fields[12:]
	}
	return 1
}
