#include "native.h"
#include <libavutil/intreadwrite.h>
#include <string.h>

void sl_stream_facts(AVFormatContext *fc, int i, sl_stream *out)
{
	AVStream *s = fc->streams[i];
	AVCodecParameters *p = s->codecpar;
	memset(out, 0, sizeof *out);
	out->type = p->codec_type;
	out->codec = p->codec_id;
	out->width = p->width;
	out->height = p->height;
	out->disposition = s->disposition;
	out->field_order = p->field_order;
	out->delay = p->video_delay;
	AVRational sar = av_guess_sample_aspect_ratio(fc, s, NULL);
	out->sar_num = sar.num;
	out->sar_den = sar.den;
	out->base_num = s->time_base.num;
	out->base_den = s->time_base.den;
	out->rate_num = s->avg_frame_rate.num;
	out->rate_den = s->avg_frame_rate.den;
	out->sample_rate = p->sample_rate;
	out->channels = p->ch_layout.nb_channels;
	out->format = p->format;
	out->range = p->color_range;
	out->matrix = p->color_space;
	out->primaries = p->color_primaries;
	out->transfer = p->color_trc;
	out->frames = s->nb_frames;
	out->start = s->start_time;
	out->duration = s->duration;
	size_t n = 0;
	uint8_t *m = av_stream_get_side_data(s, AV_PKT_DATA_DISPLAYMATRIX, &n);
	if (m && n >= sizeof out->display) {
		memcpy(out->display, m, sizeof out->display);
		out->has_matrix = 1;
	}
}

// How far decoding runs ahead of showing is not in the header; a decoder that does
// not know it shows the first pictures too early, in the wrong order.
void sl_expect_delay(AVFormatContext *fc, int stream, int delay) { fc->streams[stream]->codecpar->video_delay = delay; }

void sl_keep_only(AVFormatContext *fc, int stream)
{
	for (unsigned i = 0; i < fc->nb_streams; i++)
		fc->streams[i]->discard = (int)i == stream ? AVDISCARD_NONE : AVDISCARD_ALL;
}

static int stopped(void *opaque) { return atomic_load_explicit(&((sl_file *)opaque)->stop, memory_order_relaxed); }

void sl_guard(AVFormatContext *fc, sl_file *f)
{
	fc->pb = f->io;
	fc->interrupt_callback.callback = stopped;
	fc->interrupt_callback.opaque = f;
}

int sl_field_parser(AVFormatContext *fc, int stream, AVCodecParserContext **parser, AVCodecContext **cc)
{
	AVCodecParameters *p = fc->streams[stream]->codecpar;
	*parser = av_parser_init(p->codec_id);
	if (!*parser)
		return 0;
	(*parser)->flags |= PARSER_FLAG_COMPLETE_FRAMES;
	*cc = avcodec_alloc_context3(NULL);
	int err = *cc ? avcodec_parameters_to_context(*cc, p) : AVERROR(ENOMEM);
	if (err < 0)
		sl_field_parser_close(parser, cc);
	return err;
}

void sl_field_parser_close(AVCodecParserContext **parser, AVCodecContext **cc)
{
	if (*parser)
		av_parser_close(*parser);
	*parser = NULL;
	avcodec_free_context(cc);
}

// VP8 and VP9 keep pictures that are never shown in packets of their own.
static int never_shown(enum AVCodecID codec, const AVPacket *p)
{
	if (p->size < 1)
		return 0;
	if (codec == AV_CODEC_ID_VP8)
		return !(p->data[0] & 0x10);
	if (codec != AV_CODEC_ID_VP9 || (p->data[p->size - 1] & 0xe0) == 0xc0) // the latter: several pictures, one shown
		return 0;
	int b = p->data[0], at = 4; // marker 2 bits, profile 2 bits
	if ((b & 0x30) == 0x30)
		at++;
	int existing = b >> (7 - at) & 1, shown = b >> (5 - at) & 1;
	return !existing && !shown;
}

int sl_lengthen(AVPacket *pkt, int n)
{
	int size = pkt->size;
	int err = av_grow_packet(pkt, n);
	if (err >= 0)
		memset(pkt->data + size, 0xA5, n); // no start code, and no padding
	return err;
}

int sl_next(AVFormatContext *fc, AVPacket *pkt)
{
	for (int lost = 0;; lost++) {
		int err = av_read_frame(fc, pkt);
		if (err >= 0 || err == AVERROR_EXIT)
			return err;
		if (fc->pb->error < 0 && fc->pb->error != AVERROR_EOF)
			return fc->pb->error; // a drive that fails is not an end
		if (err == AVERROR_EOF || avio_feof(fc->pb) || lost == 100000)
			return AVERROR_EOF;
	}
}

// FFmpeg takes every picture of H.263 for a key picture. Whether one leans on others
// stands in its header (ITU-T H.263 5.1.3 and 5.1.4): a bit of PTYPE, or the type in
// MPPTYPE where the source format is the extended one.
static int leans(enum AVCodecID codec, const AVPacket *p)
{
	if (codec != AV_CODEC_ID_H263 || p->size < 9)
		return 0;
	if ((p->data[4] & 0x1c) != 0x1c)
		return p->data[4] >> 1 & 1;
	uint64_t bits = AV_RB64(p->data + 1); // bits 8 to 71
	int update = bits >> (71 - 40) & 7, at = update == 1 ? 59 : 41;
	return (bits >> (71 - at - 2) & 7) != 0;
}

int sl_scan(AVFormatContext *fc, int stream, AVPacket *pkt, AVCodecParserContext *parser, AVCodecContext *cc,
	sl_packet *out, int max)
{
	enum AVCodecID codec = fc->streams[stream]->codecpar->codec_id;
	int64_t hollow = ((sl_file *)fc->pb->opaque)->hollow;
	int n = 0;
	while (n < max) {
		int err = sl_next(fc, pkt);
		if (err < 0)
			return n || err == AVERROR_EOF ? n : err;
		if (pkt->stream_index == stream) {
			sl_packet *o = &out[n++];
			o->pts = pkt->pts;
			o->dts = pkt->dts;
			o->pos = pkt->pos;
			o->size = pkt->size;
			o->duration = (int32_t)FFMIN(pkt->duration, INT32_MAX);
			o->flags = (pkt->flags & AV_PKT_FLAG_KEY ? SL_KEY : 0) | (pkt->flags & AV_PKT_FLAG_DISCARD ? SL_HIDDEN : 0)
				| (pkt->flags & AV_PKT_FLAG_CORRUPT || (hollow && pkt->pos + pkt->size > hollow) ? SL_CORRUPT : 0);
			if (!hollow && never_shown(codec, pkt))
				o->flags |= SL_HIDDEN;
			if (!hollow && leans(codec, pkt))
				o->flags &= ~SL_KEY;
			if (parser && pkt->size) {
				uint8_t *data;
				int size;
				av_parser_parse2(parser, cc, &data, &size, pkt->data, pkt->size, pkt->pts, pkt->dts, pkt->pos);
				if (parser->picture_structure == AV_PICTURE_STRUCTURE_TOP_FIELD)
					o->flags |= SL_TOP;
				else if (parser->picture_structure == AV_PICTURE_STRUCTURE_BOTTOM_FIELD)
					o->flags |= SL_BOTTOM;
			}
		}
		av_packet_unref(pkt);
	}
	return n;
}

int sl_byte_seekable(AVFormatContext *fc)
{
	const AVInputFormat *f = fc->iformat; // the latter: bare streams, without a container
	return ((f->flags & AVFMT_TS_DISCONT) || f->raw_codec_id) && !(f->flags & AVFMT_NO_BYTE_SEEK);
}

int sl_seek_bytes(AVFormatContext *fc, int64_t pos) { return av_seek_frame(fc, -1, pos, AVSEEK_FLAG_BYTE); }

void sl_flush(AVCodecContext *cc) { avcodec_flush_buffers(cc); }

void sl_skip(AVCodecContext *cc, int unreferenced)
{
	cc->skip_frame = unreferenced ? AVDISCARD_NONREF : AVDISCARD_DEFAULT;
}

static int prefilled(AVCodecContext *cc, AVFrame *f, int flags)
{
	int err = avcodec_default_get_buffer2(cc, f, flags);
	for (int i = 0; err >= 0 && i < AV_NUM_DATA_POINTERS && f->buf[i]; i++)
		memset(f->buf[i]->data, (int)(intptr_t)cc->opaque, f->buf[i]->size);
	return err;
}

void sl_prefill(AVCodecContext *cc, int value)
{
	cc->opaque = (void *)(intptr_t)value;
	cc->get_buffer2 = prefilled;
}
