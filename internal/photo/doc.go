// Package photo takes in a picture from the bench and makes it fit to keep.
//
// The chapter goes the way the picture goes. What arrives is recognised by its
// first bytes (kind.go), held against limits before anything is unpacked
// (limits.go), and rewritten without what it tells about place, camera and
// owner (jpegfile.go, pngfile.go, webpfile.go). Of its Exif record only the
// orientation and the date are believed (exif.go). It is then opened, made
// smaller (shrink.go), turned upright (upright.go) and written as a copy for
// viewing and one for lists (accept.go). Last, a root is measured in the copy for
// viewing, by a scale that lies beside it (marks.go, polyline.go).
//
// It follows ITU-T T.81 (1992), annex B, for the segments of a JPEG file; Exif
// 2.32 (CIPA DC-008-2019), sections 4.6.2 to 4.6.6, for the record in it; the PNG
// specification (third edition, W3C), chapter 5, for chunks; and the WebP
// container specification (RFC 9649), section 2. Section numbers are from
// memory; the meaning of the orientation values was read again in the manual
// page of jpegexiforient(1), G. Vollbeding, Independent JPEG Group.
//
// Valid range: JPEG, PNG and WebP of up to 25 MB and 60 megapixels unless the
// caller sets other limits. Taking in a usual JPEG of twelve megapixels needs
// about 100 MB of memory. No picture needs more than Limits.MemoryBytes for its
// decoder and some 200 MB for its copies; the caller decides how many pictures
// are taken in at once.
//
// The same bytes give the same copies, on the same build of the program. Other
// versions of the JPEG encoder, or processors that fuse multiplication and
// addition, may round some pixels the other way; what is kept stays valid, for a
// store takes its name from the bytes.
//
// Not modelled: colour profiles (a picture in Display P3 is shown as if in sRGB,
// a little paler than it was; the kept original has its profile); moving
// pictures; the distortion of the lens, which is least in the middle of the
// picture; the thickness of the root, along whose middle the marks are taken to
// lie.
package photo
