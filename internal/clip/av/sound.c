#include "native.h"
#include <stdlib.h>

struct sl_mixer {
	SwrContext *swr;
	int rate;
	AVChannelLayout layout;
	int in_rate, in_format;
};

sl_mixer *sl_mixer_new(int rate)
{
	sl_mixer *m = calloc(1, sizeof *m);
	if (m)
		m->rate = rate;
	return m;
}

void sl_mixer_free(sl_mixer **p)
{
	if (!*p)
		return;
	swr_free(&(*p)->swr);
	av_channel_layout_uninit(&(*p)->layout);
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
	AVChannelLayout mono = AV_CHANNEL_LAYOUT_MONO;
	int err = swr_alloc_set_opts2(&m->swr, &mono, AV_SAMPLE_FMT_FLT, m->rate, &in, f->format, f->sample_rate, 0, NULL);
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

int sl_mix(sl_mixer *m, const AVFrame *f, float *out, int max)
{
	if (!m->swr)
		return 0;
	uint8_t *planes[1] = { (uint8_t *)out };
	return swr_convert(m->swr, planes, max, f ? (const uint8_t **)f->extended_data : NULL, f ? f->nb_samples : 0);
}
