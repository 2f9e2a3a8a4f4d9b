#include "handlers/checkpoint.h"

#include "handlers/app.h"
#include "store/tree.h"

enum err checkpoint_show(struct request *rq, struct doc *map) {
	struct checkpoint now;
	struct buf note;
	enum err err = audit_checkpoint(request_store(rq), &now, &rq->fault);
	if (err != ERR_OK) return err;
	buf_init(&note, NOTE_BYTES_MAX);
	checkpoint_write(&now, app_key(request_app(rq)), &note);
	if (buf_failed(&note)) err = request_fail(rq, ERR_MEMORY, "There is no memory left.");
	struct doc *d = doc_set_map(map, "checkpoint");
	doc_set_int(d, "size", now.size);
	doc_set_copy(d, "note", buf_text(&note));
	buf_release(&note);
	return err;
}
