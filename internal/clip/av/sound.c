#include "native.h"
#include <math.h>
#include <stdlib.h>

struct sl_mixer {
	SwrContext *swr;
	int rate;
	AVChannelLayout layout;
	int in_rate, in_format;
	// Of two channels: what they have in common and how loud they are, of late.
	double common, left, right;
	float sign;
	float *pairs;
	int room; // in pairs
};

sl_mixer *sl_mixer_new(int rate)
{
	sl_mixer *m = calloc(1, sizeof *m);
	if (m) {
		m->rate = rate;
		m->sign = 1;
	}
	return m;
}

void sl_mixer_free(sl_mixer **p)
{
	if (!*p)
		return;
	swr_free(&(*p)->swr);
	av_channel_layout_uninit(&(*p)->layout);
	free((*p)->pairs);
	free(*p);
	*p = NULL;
}

// Sound whose channels have no names is taken as the usual layout of that many.
static int prepare(sl_mixer *m, const AVFrame *f)
{
	AVChannelLayout in = f->ch_layout, named;
	if (in.order == AV_CHANNEL_ORDER_UNSPEC) {
		av_channel_layout_default(&named, in.nb_channels);
		in = named;
	}
	if (m->swr && m->in_rate == f->sample_rate && m->in_format == f->format && !av_channel_layout_compare(&m->layout, &in))
		return 0;
	swr_free(&m->swr);
	AVChannelLayout mono = AV_CHANNEL_LAYOUT_MONO, stereo = AV_CHANNEL_LAYOUT_STEREO;
	int err = swr_alloc_set_opts2(&m->swr, in.nb_channels == 2 ? &stereo : &mono, AV_SAMPLE_FMT_FLT, m->rate, &in, f->format, f->sample_rate, 0, NULL);
	if (err >= 0)
		err = swr_init(m->swr);
	if (err >= 0)
		err = av_channel_layout_copy(&m->layout, &in);
	m->in_rate = f->sample_rate;
	m->in_format = f->format;
	if (err < 0)
		swr_free(&m->swr);
	return err;
}

int sl_mix_bound(sl_mixer *m, const AVFrame *f)
{
	if (f) {
		int err = prepare(m, f);
		if (err < 0)
			return err;
	}
	return m->swr ? swr_get_out_samples(m->swr, f ? f->nb_samples : 0) : 0;
}

// Two channels of which one is inverted cancel each other in their sum: the
// difference is taken while they are plainly opposed. What was heard last counts
// most, over about two seconds.
static void mix_pairs(sl_mixer *m, float *out, int n)
{
	const double opposed = .5, keep = 1 - n / (2. * m->rate + n);
	double common = 0, left = 0, right = 0;
	for (int i = 0; i < n; i++) {
		double a = m->pairs[2 * i], b = m->pairs[2 * i + 1];
		common += a * b;
		left += a * a;
		right += b * b;
	}
	m->common = keep * m->common + common;
	m->left = keep * m->left + left;
	m->right = keep * m->right + right;
	double both = sqrt(m->left * m->right);
	if (m->common < -opposed * both)
		m->sign = -1;
	else if (m->common > opposed * both)
		m->sign = 1;
	for (int i = 0; i < n; i++)
		out[i] = (m->pairs[2 * i] + m->sign * m->pairs[2 * i + 1]) / 2;
}

int sl_mix(sl_mixer *m, const AVFrame *f, float *out, int max)
{
	if (!m->swr)
		return 0;
	int two = m->layout.nb_channels == 2;
	if (two && m->room < max) {
		float *more = realloc(m->pairs, 2 * sizeof *more * (size_t)max);
		if (!more)
			return AVERROR(ENOMEM);
		m->pairs = more;
		m->room = max;
	}
	uint8_t *planes[1] = { (uint8_t *)(two ? m->pairs : out) };
	int n = swr_convert(m->swr, planes, max, f ? (const uint8_t **)f->extended_data : NULL, f ? f->nb_samples : 0);
	if (two && n > 0)
		mix_pairs(m, out, n);
	return n;
}
