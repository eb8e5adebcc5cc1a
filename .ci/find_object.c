// What gcc's unwinder asks for, and musl does not have: which unwind tables belong to a place in the code. The interface is
// that of the GNU C library, 2.35 (dlfcn.h).
#define _GNU_SOURCE
#include <link.h>
#include <stdint.h>

struct dl_find_object {
    unsigned long long flags;
    void *map_start, *map_end, *link_map, *eh_frame;
    unsigned long long reserved[7];
};

struct wanted {
    uintptr_t place;
    struct dl_find_object *found;
};

static int look(struct dl_phdr_info *object, size_t size, void *data) {
    struct wanted *wanted = data;
    uintptr_t first = UINTPTR_MAX, end = 0, tables = 0;
    int is_here = 0;
    for (int at = 0; at < object->dlpi_phnum; at++) {
        const ElfW(Phdr) *part = &object->dlpi_phdr[at];
        uintptr_t begin = object->dlpi_addr + part->p_vaddr, over = begin + part->p_memsz;
        if (part->p_type == PT_GNU_EH_FRAME) tables = begin;
        if (part->p_type != PT_LOAD) continue;
        if (begin < first) first = begin;
        if (over > end) end = over;
        if (begin <= wanted->place && wanted->place < over) is_here = 1;
    }
    if (!is_here || !tables) return 0;
    *wanted->found = (struct dl_find_object){.map_start = (void *)first, .map_end = (void *)end, .eh_frame = (void *)tables};
    return 1;
}

int _dl_find_object(void *place, struct dl_find_object *found) {
    struct wanted wanted = {(uintptr_t)place, found};
    return dl_iterate_phdr(look, &wanted) ? 0 : -1;
}
