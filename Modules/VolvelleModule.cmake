# One concept, one folder, one target.
#
#   volvelle_module(NAME DEPENDS other modules ... PRIVATE_MODULES modules used in .cpp files only ...
#                   PUBLIC libraries seen in headers ... PRIVATE libraries seen in .cpp files only ...)
#
# declares the static library Volvelle::NAME made of every .cpp in the folder NAME. A module may include "Other/Thing.h"
# only of the modules that it names here itself, and headers of a library only if it names the library
# (Tests/House/check_includes.py fails otherwise; it reads the file that volvelle_write_arrows writes).

add_library(VolvelleWarnings INTERFACE)
target_compile_options(VolvelleWarnings INTERFACE
    -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wno-sign-conversion -Wnon-virtual-dtor -Wold-style-cast
    -Woverloaded-virtual -Wnull-dereference -Wdouble-promotion -Werror)
if(CMAKE_CXX_COMPILER_ID STREQUAL "GNU")
    # g++ 12 reports false positives of this kind deep inside the standard library when it inlines at -O2 and above.
    target_compile_options(VolvelleWarnings INTERFACE -Wno-null-dereference -Wno-restrict)
    if(CMAKE_CXX_FLAGS MATCHES "-fsanitize")
        # ... and of this kind once a sanitizer has rewritten the code.
        target_compile_options(VolvelleWarnings INTERFACE -Wno-maybe-uninitialized)
    endif()
endif()

if(CMAKE_CXX_COMPILER_ID MATCHES "Clang")
    # clang 14 takes double{aFloat} for an implicit promotion; g++ watches over the real ones.
    target_compile_options(VolvelleWarnings INTERFACE -Wno-double-promotion)
endif()

function(volvelle_module name)
    cmake_parse_arguments(M "" "" "DEPENDS;PRIVATE_MODULES;PUBLIC;PRIVATE" ${ARGN})
    if(M_UNPARSED_ARGUMENTS)
        message(FATAL_ERROR "volvelle_module(${name}): what are '${M_UNPARSED_ARGUMENTS}'?")
    endif()
    volvelle_note_arrows(${name} "${M_DEPENDS}" "${M_PRIVATE_MODULES}" "${M_PUBLIC}" "${M_PRIVATE}")
    file(GLOB sources CONFIGURE_DEPENDS ${CMAKE_CURRENT_SOURCE_DIR}/${name}/*.cpp)
    add_library(Volvelle${name} STATIC ${sources})
    add_library(Volvelle::${name} ALIAS Volvelle${name})
    target_include_directories(Volvelle${name} PUBLIC ${PROJECT_SOURCE_DIR}/Modules)
    list(TRANSFORM M_DEPENDS PREPEND Volvelle::)
    list(TRANSFORM M_PRIVATE_MODULES PREPEND Volvelle::)
    target_link_libraries(Volvelle${name} PUBLIC ${M_DEPENDS} ${M_PUBLIC}
                          PRIVATE ${M_PRIVATE_MODULES} ${M_PRIVATE} VolvelleWarnings)
    set_property(GLOBAL APPEND PROPERTY VOLVELLE_MODULES Volvelle::${name})
endfunction()

# ---- the declared arrows, for the test ----

function(volvelle_json_list out)
    list(TRANSFORM ARGN REPLACE "(.+)" "\"\\1\"" OUTPUT_VARIABLE quoted)
    list(JOIN quoted ", " joined)
    set(${out} "[${joined}]" PARENT_SCOPE)
endfunction()

function(volvelle_note_arrows name depends private_modules public private)
    volvelle_json_list(depends_json ${depends})
    volvelle_json_list(private_modules_json ${private_modules})
    volvelle_json_list(public_json ${public})
    volvelle_json_list(private_json ${private})
    set_property(GLOBAL APPEND PROPERTY VOLVELLE_ARROWS
        "\"${name}\": {\"depends\": ${depends_json}, \"private_modules\": ${private_modules_json}, \"public\": ${public_json}, \"private\": ${private_json}}")
endfunction()

function(volvelle_write_arrows file)
    get_property(arrows GLOBAL PROPERTY VOLVELLE_ARROWS)
    list(JOIN arrows ",\n  " joined)
    file(CONFIGURE OUTPUT ${file} CONTENT "{\n  @joined@\n}\n" @ONLY)
endfunction()
