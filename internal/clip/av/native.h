// What go-astiav v0.16.0 does not reach, as plain functions over FFmpeg's own
// structures: reading a file with an abort switch, the packet list of a stream,
// stream facts, skipping in a decoder, picture conversion with the right
// colours, JPEG, and sound conversion. Negative results are FFmpeg error codes.
#ifndef STROKELEDGER_NATIVE_H
#define STROKELEDGER_NATIVE_H

#include <stdatomic.h>
#include <stdint.h>
#include <libavcodec/avcodec.h>
#include <libavformat/avformat.h>
#include <libavutil/display.h>
#include <libavutil/frame.h>
#include <libswresample/swresample.h>
#include <libswscale/swscale.h>

// ---- file.c: one open file behind an AVIOContext ----
typedef struct sl_file {
	int fd;
	int64_t pos;
	atomic_int stop;   // not 0: every read fails with AVERROR_EXIT
	int64_t hollow;    // not 0: the file's length; reads advance but leave the bytes unspecified, also a little beyond it
	atomic_llong end;  // reads end here, before the file's own end; 0 there
	int gate;          // no read begins before this descriptor can be read; -1 none
	atomic_llong begun; // when the call to the drive that is under way began, ns; 0 none
	AVIOContext *io;
} sl_file;

void sl_share_memory(void); // lets threads share what each has freed
void sl_pass(int gate); // waits until the descriptor can be read; -1: not at all
sl_file *sl_file_new(int gate);
int sl_file_open(sl_file *f, const char *path);
int64_t sl_file_waiting(sl_file *f); // ns that the call under way has taken; any thread
int sl_file_rewind(sl_file *f);
void sl_file_stop(sl_file *f);
int64_t sl_file_length(sl_file *f); // as far as it is read
void sl_file_end(sl_file *f, int64_t at); // any thread; 0: the file's own end
void sl_file_close(sl_file **f);

// ---- source.c: streams and packets ----
typedef struct sl_stream {
	int type, codec, width, height, disposition, field_order, delay;
	int sar_num, sar_den, base_num, base_den, rate_num, rate_den;
	int sample_rate, channels;
	int format, range, matrix, primaries, transfer;
	int has_matrix;
	int32_t display[9];
	int64_t frames, start, duration;
} sl_stream;

enum { SL_KEY = 1, SL_HIDDEN = 2, SL_CORRUPT = 4, SL_TOP = 8, SL_BOTTOM = 16 };

typedef struct sl_packet {
	int64_t pts, dts, pos;
	int32_t size, duration;
	uint8_t flags; // SL_...
} sl_packet;

void sl_stream_facts(AVFormatContext *fc, int i, sl_stream *out);
void sl_expect_delay(AVFormatContext *fc, int stream, int delay);
void sl_keep_only(AVFormatContext *fc, int stream);
void sl_guard(AVFormatContext *fc, sl_file *f);
int sl_field_parser(AVFormatContext *fc, int stream, AVCodecParserContext **parser, AVCodecContext **cc);
void sl_field_parser_close(AVCodecParserContext **parser, AVCodecContext **cc);
// Reads the next packet, passing over those that cannot be had: damaged ones, and
// ones with a size that no memory holds. AVERROR_EOF at the end.
int sl_next(AVFormatContext *fc, AVPacket *pkt);
// Puts bytes behind a packet that mean nothing.
int sl_lengthen(AVPacket *pkt, int n);
// Reads up to max packets of the stream; returns how many, 0 at the end.
int sl_scan(AVFormatContext *fc, int stream, AVPacket *pkt, AVCodecParserContext *parser, AVCodecContext *cc,
	sl_packet *out, int max);
int sl_byte_seekable(AVFormatContext *fc);
int sl_seek_bytes(AVFormatContext *fc, int64_t pos);
void sl_flush(AVCodecContext *cc);
void sl_skip(AVCodecContext *cc, int unreferenced);
void sl_prefill(AVCodecContext *cc, int value);

// ---- pictures ----
typedef struct sl_picture {
	int width, height, format, key, interlaced, top_first, bad;
	int range, matrix, primaries, transfer, sar_num, sar_den;
	int64_t pts;
} sl_picture;

// How a coded picture is to be shown.
typedef struct sl_look {
	int matrix;   // AVColorSpace of the samples
	int full;     // 1: full range
	int quarter;  // quarter turns clockwise, after the mirror
	int mirror;   // 1: left and right change places first
	int width, height; // as shown
	int transfer; // AVColorTransferCharacteristic where it is a wide one (HLG, PQ), else 0
	int narrow;   // 1: primaries of BT.709 under a wide transfer, not of BT.2020
	int keep;     // lines of one moment: 0 even ones, 1 odd ones, -1 all
	int alone;    // 1: the other lines are made up wholly, 0: only where they show another moment
	int x, y, across, down; // the part that is shown, coded pixels; across 0: all
	int lit;      // 1: luma goes through light
	uint8_t light[256]; // luma, full range
} sl_look;

typedef struct sl_planes {
	uint8_t *data[4];
	int stride[4];
	int width, height, format;
} sl_planes;

// ---- planes.c ----
// What the numbers of samples mean.
typedef struct sl_meaning {
	int matrix; // of swscale: SWS_CS_...
	int full;   // 1: full range
} sl_meaning;

typedef struct sl_scaler { // zero at first; the owner frees sws
	struct SwsContext *sws;
	int key[11]; // what sws was made for
} sl_scaler;

// Makes planes with room for whole JPEG blocks beyond the edges, or keeps those that fit.
int sl_planes_room(sl_planes *p, int format, int w, int h);
// The planes of a picture, or of the part that the look says; in still, with the lines of another moment taken out, where the
// look says so. A part begins where the chroma has a sample of its own.
int sl_planes_of(const AVFrame *f, const sl_look *look, sl_planes *still, sl_planes *in);
// Puts luma through the look's light, full range or limited.
void sl_light(uint8_t *luma, ptrdiff_t stride, int w, int h, const sl_look *look, int full);
int sl_is_yuv(int format);
int sl_sws_matrix(int matrix); // of an AVColorSpace
// Scales to the size and format of out, with filters as flags says.
int sl_scale(sl_scaler *s, const sl_planes *in, sl_meaning from, sl_planes *out, sl_meaning to, int flags);
// Turn and mirror a plane of w x h as the look says. Strides count samples.
void sl_turn_8(const uint8_t *src, ptrdiff_t ss, int w, int h, uint8_t *dst, ptrdiff_t ds, const sl_look *look);
void sl_turn_32(const uint32_t *src, ptrdiff_t ss, int w, int h, uint32_t *dst, ptrdiff_t ds, const sl_look *look);

// ---- picture.c ----
typedef struct sl_view sl_view; // one converter; used by one goroutine at a time

void sl_picture_facts(const AVFrame *f, sl_picture *out);
sl_view *sl_view_new(void);
void sl_view_free(sl_view **v);
int sl_view_jpeg(sl_view *v, const AVFrame *f, const sl_look *look, int quality, const uint8_t **out, unsigned long *size);
// B G R A in memory, rows without gaps: 4 * width * height bytes.
int sl_view_screen(sl_view *v, const AVFrame *f, const sl_look *look, uint8_t *out);
int sl_view_rgba(sl_view *v, const AVFrame *f, const sl_look *look, uint8_t *out, int stride);

// ---- weave.c ----
// Whether the lines of a picture of this format can be told apart.
int sl_weave_known(int format);
// Fills in the lines of the other moment.
void sl_unweave(const sl_planes *in, sl_planes *out, int keep, int alone);

// ---- tone.c: HDR to SDR ----
typedef struct sl_tone sl_tone;
sl_tone *sl_tone_new(void);
// Both take 10-bit YCbCr; the first 4:2:0 to 4:2:0 of 8 bits in BT.601 full range, the second 4:4:4 to RGBA.
void sl_tone_planes(sl_tone *t, const sl_look *look, const sl_planes *in, sl_planes *out);
void sl_tone_rgba(sl_tone *t, const sl_look *look, const sl_planes *in, sl_planes *out);

// ---- jpeg.c ----
typedef struct sl_jpeg sl_jpeg;
sl_jpeg *sl_jpeg_new(void);
void sl_jpeg_free(sl_jpeg **j);
int sl_jpeg_encode(sl_jpeg *j, uint8_t *const plane[3], const int stride[3], int width, int height, int quality,
	const uint8_t **out, unsigned long *size);

// ---- sound.c ----
typedef struct sl_mixer sl_mixer; // to mono float at one rate
sl_mixer *sl_mixer_new(int rate);
void sl_mixer_free(sl_mixer **m);
// Converts one frame (NULL: the rest) into out, at most max samples; returns how many.
int sl_mix(sl_mixer *m, const AVFrame *f, float *out, int max);
int sl_mix_bound(sl_mixer *m, const AVFrame *f);
#endif
