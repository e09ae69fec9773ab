// Pictures on the program's own window, over the page: drawn once the page is, onto
// the same surface, so that nothing of the page is worked out or copied for them.
#include "canvas.h"
#include <gtk/gtk.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <webkit2/webkit2.h>

// A picture on its way to the window's own thread.
typedef struct picture {
	uint32_t *pixels; // as cairo has them: blue first in memory
	int width, height;
	sl_rectangle place;
	cairo_region_t *seen;
} picture;

struct sl_canvas {
	GtkWidget *box; // has the page in it and nothing else
	gulong draws;
	cairo_surface_t *shown; // of `front`, NULL where nothing is shown
	picture front;
	GMutex lock;
	picture next;  // the newest; one that was not drawn in time is replaced
	GArray *spare; // memory of pictures that are done
	int asked;     // the window's own thread will look
	int hide, gone;
};

static GtkWidget *page_in(GtkWidget *w)
{
	if (WEBKIT_IS_WEB_VIEW(w))
		return w;
	if (!GTK_IS_CONTAINER(w))
		return NULL;
	GtkWidget *found = NULL;
	GList *all = gtk_container_get_children(GTK_CONTAINER(w));
	for (GList *i = all; i && !found; i = i->next)
		found = page_in(i->data);
	g_list_free(all);
	return found;
}

static gboolean draw(GtkWidget *box, cairo_t *cr, gpointer data)
{
	sl_canvas *c = data;
	if (!c->shown)
		return FALSE;
	double scale = gtk_widget_get_scale_factor(box);
	const picture *p = &c->front;
	cairo_save(cr);
	cairo_scale(cr, 1 / scale, 1 / scale);
	gdk_cairo_region(cr, p->seen);
	cairo_clip(cr);
	cairo_translate(cr, p->place.x, p->place.y);
	int scaled = p->place.width != p->width || p->place.height != p->height;
	if (scaled)
		cairo_scale(cr, p->place.width / p->width, p->place.height / p->height);
	cairo_set_source_surface(cr, c->shown, 0, 0);
	cairo_pattern_set_filter(cairo_get_source(cr), scaled ? CAIRO_FILTER_BILINEAR : CAIRO_FILTER_NEAREST);
	cairo_pattern_set_extend(cairo_get_source(cr), CAIRO_EXTEND_PAD);
	cairo_rectangle(cr, 0, 0, p->width, p->height);
	cairo_fill(cr);
	cairo_restore(cr);
	return FALSE;
}

static void redraw(sl_canvas *c)
{
	int scale = gtk_widget_get_scale_factor(c->box);
	cairo_rectangle_int_t r;
	cairo_region_get_extents(c->front.seen, &r);
	gtk_widget_queue_draw_area(c->box, r.x / scale, r.y / scale, r.width / scale + 2, r.height / scale + 2);
}

static void free_picture(void *p) { free(((picture *)p)->pixels); }

static void release(sl_canvas *c, picture *p)
{
	g_clear_pointer(&p->seen, cairo_region_destroy);
	if (p->pixels)
		g_array_append_val(c->spare, *p);
	if (c->spare->len > 2)
		g_array_remove_index(c->spare, 0);
	*p = (picture){ 0 };
}

// Runs on the window's own thread.
static gboolean take(gpointer data)
{
	sl_canvas *c = data;
	g_mutex_lock(&c->lock);
	c->asked = 0;
	picture next = c->next;
	int hide = c->hide, gone = c->gone;
	c->next = (picture){ 0 };
	c->hide = 0;
	if (c->shown && (hide || next.pixels)) {
		redraw(c);
		g_clear_pointer(&c->shown, cairo_surface_destroy);
		release(c, &c->front);
	}
	g_mutex_unlock(&c->lock);
	if (next.pixels && c->box) {
		c->front = next;
		c->shown = cairo_image_surface_create_for_data((unsigned char *)next.pixels, CAIRO_FORMAT_RGB24, next.width, next.height, 4 * next.width);
		redraw(c);
	}
	if (!gone)
		return G_SOURCE_REMOVE;
	if (c->draws)
		g_signal_handler_disconnect(c->box, c->draws);
	g_clear_object(&c->box);
	g_array_free(c->spare, TRUE);
	g_mutex_clear(&c->lock);
	free(c);
	return G_SOURCE_REMOVE;
}

// Has the window's own thread look at what is asked; the lock is held.
static void ask(sl_canvas *c)
{
	if (!c->asked)
		g_idle_add_full(G_PRIORITY_HIGH, take, c, NULL);
	c->asked = 1;
}

// Runs on the window's own thread. Without a page in any window the canvas shows nothing.
static gboolean attach(gpointer data)
{
	sl_canvas *c = data;
	GtkWidget *page = NULL;
	GList *all = gtk_window_list_toplevels();
	for (GList *i = all; i && !page; i = i->next)
		page = page_in(i->data);
	g_list_free(all);
	if (page && (c->box = gtk_widget_get_parent(page))) {
		g_object_ref(c->box);
		c->draws = g_signal_connect_after(c->box, "draw", G_CALLBACK(draw), c);
	}
	return G_SOURCE_REMOVE;
}

sl_canvas *sl_canvas_new(void)
{
	sl_canvas *c = calloc(1, sizeof *c);
	if (!c)
		return NULL;
	g_mutex_init(&c->lock);
	c->spare = g_array_new(FALSE, FALSE, sizeof(picture));
	g_array_set_clear_func(c->spare, free_picture);
	g_idle_add_full(G_PRIORITY_HIGH, attach, c, NULL);
	return c;
}

// Memory for a picture: of one that is done where it fits.
static uint32_t *room(sl_canvas *c, int width, int height)
{
	uint32_t *found = NULL;
	g_mutex_lock(&c->lock);
	while (!found && c->spare->len > 0) {
		picture p = g_array_index(c->spare, picture, c->spare->len - 1);
		if (p.width == width && p.height == height) {
			g_array_index(c->spare, picture, c->spare->len - 1).pixels = NULL;
			found = p.pixels;
		}
		g_array_set_size(c->spare, c->spare->len - 1);
	}
	g_mutex_unlock(&c->lock);
	return found ? found : malloc((size_t)4 * width * height);
}

static cairo_rectangle_int_t whole(sl_rectangle r)
{
	int x = (int)floor(r.x), y = (int)floor(r.y);
	return (cairo_rectangle_int_t){ x, y, (int)ceil(r.x + r.width) - x, (int)ceil(r.y + r.height) - y };
}

int sl_canvas_show(sl_canvas *c, const uint8_t *pixels, int width, int height, sl_rectangle place, const sl_rectangle *rectangles, int count)
{
	picture p = { room(c, width, height), width, height, place, NULL };
	if (!p.pixels)
		return 0;
	memcpy(p.pixels, pixels, (size_t)4 * width * height);
	cairo_rectangle_int_t r = whole(rectangles[0]);
	p.seen = cairo_region_create_rectangle(&r);
	for (int i = 1; i < count; i++) {
		r = whole(rectangles[i]);
		cairo_region_subtract_rectangle(p.seen, &r);
	}
	g_mutex_lock(&c->lock);
	release(c, &c->next);
	c->next = p;
	c->hide = 0;
	ask(c);
	g_mutex_unlock(&c->lock);
	return 1;
}

void sl_canvas_hide(sl_canvas *c)
{
	g_mutex_lock(&c->lock);
	release(c, &c->next);
	c->hide = 1;
	ask(c);
	g_mutex_unlock(&c->lock);
}

void sl_canvas_free(sl_canvas *c)
{
	g_mutex_lock(&c->lock);
	release(c, &c->next);
	c->hide = c->gone = 1;
	ask(c);
	g_mutex_unlock(&c->lock);
}
